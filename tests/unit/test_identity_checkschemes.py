"""Check characters of partners' numbers and of symbols: published values, and exactly what each scheme misses."""

from itertools import product

import pytest
from support_each import each
from support_identity import by_id, vectors

from tracelink.errors import IdentifierError, InvalidCheckCharacter, InvalidFormat, InvalidLength
from tracelink.identity.checkdigit import ALPHABET, gs1_check_digit, luhn_check_digit
from tracelink.identity.gs1.charsets import CSET_32, CSET_82, CSET_82_ORDER
from tracelink.identity.gs1.checkpair import gs1_check_pair, require_gs1_check_pair
from tracelink.identity.iso7064 import (
    mod11_2_check_character,
    mod11_10_check_digit,
    mod37_2_check_character,
    mod97_10_check_digits,
)
from tracelink.identity.isrc import Isrc
from tracelink.identity.symbolcheck import code39_check_character, code128_check_value

DIGITS = "0123456789"
CODE_39 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-. $/+%"
SCHEMES = {
    "luhn": luhn_check_digit,
    "iso7064_mod11_2": mod11_2_check_character,
    "iso7064_mod37_2": mod37_2_check_character,
    "iso7064_mod97_10": mod97_10_check_digits,
    "iso7064_mod11_10": mod11_10_check_digit,
    "code39_mod43": code39_check_character,
}


@each("case", vectors(*SCHEMES), ids=by_id)
def test_published_check_characters(case):
    check = SCHEMES[case["kind"]](case["input"]["body"])
    assert check == case["expected"]["check"], case["source"]
    assert case["input"]["body"] + check == case["expected"]["full"]


@pytest.mark.parametrize("case", vectors("code39_mod43_reject"), ids=by_id)
def test_published_wrong_code_39(case):
    value = case["input"]["value"]
    assert code39_check_character(value[:-1]) == case["expected"]["correct"] != value[-1], case["source"]


@pytest.mark.parametrize("case", vectors("code128_mod103"), ids=by_id)
def test_published_code_128_symbols(case):
    assert code128_check_value(case["input"]["codewords"]) == case["expected"]["check"], case["source"]


@each("case", vectors("gs1_check_pair"), ids=by_id)
def test_published_check_pairs(case):
    assert gs1_check_pair(case["input"]["body"]) == case["expected"]["pair"], case["source"]
    require_gs1_check_pair(case["expected"]["full"], "GMN")


@pytest.mark.parametrize("case", vectors("gs1_check_pair_reject"), ids=by_id)
def test_published_wrong_check_pairs(case):
    with pytest.raises(IdentifierError) as caught:
        require_gs1_check_pair(case["input"]["value"], "GMN")
    sentences = {
        "pair-bad-1": "invalid check pair in GMN '1987654Ad4X4bL5ttr2310cXK': expected 2K, found XK",
        "pair-bad-2": "invalid check pair in GMN '1987654Ad4X4bL5ttr2310c2X': expected 2K, found 2X",
        "pair-bad-3": "GMN needs a text and a check pair, 3 characters at least, found '33'",
    }
    assert str(caught.value) == sentences[case["id"]], case["source"]
    assert type(caught.value) is (InvalidLength if case["id"] == "pair-bad-3" else InvalidCheckCharacter)


def test_published_character_sets_of_the_pair():
    sets = {case["id"]: case["expected"] for case in vectors("charset")}
    assert sets["cset32"] == CSET_32
    assert set(sets["cset82"]) == CSET_82 == set(CSET_82_ORDER)


# A plant that presses records meets books, serials and printed music at most as a customer's free gift: their
# numbers are checked here as compositions of the schemes above and have no reader of their own.
def isbn10_is_valid(value):
    total = sum(
        weight * (10 if character == "X" else int(character))
        for weight, character in zip(range(10, 0, -1), value, strict=True)
    )
    return total % 11 == 0, total


@pytest.mark.parametrize("case", vectors("isbn10"), ids=by_id)
def test_published_isbn_10(case):
    assert isbn10_is_valid(case["input"]["value"]) == (True, case["expected"]["weighted_sum"]), case["source"]


@pytest.mark.parametrize("case", vectors("isbn13", "ismn13"), ids=by_id)
def test_published_isbn_13_and_ismn(case):
    value, expected = case["input"]["value"], case["expected"]
    right = value[:-1] + gs1_check_digit(value[:-1])
    assert right == expected.get("correct", value), case["source"]
    assert (right == value) is expected["valid"]


@pytest.mark.parametrize("case", vectors("issn"), ids=by_id)
def test_published_issn(case):
    value, expected = case["input"]["value"], case["expected"]
    check = -sum(weight * int(digit) for weight, digit in zip(range(8, 1, -1), value[:-1], strict=True)) % 11
    right = value[:-1] + (DIGITS + "X")[check]
    assert right == expected.get("correct", value), case["source"]
    assert (right == value) is expected["valid"]


@pytest.mark.parametrize("case", vectors("isrc"), ids=by_id)
def test_published_isrc(case):
    isrc, expected = Isrc.parse(case["input"]["value"]), case["expected"]
    found = {
        "valid_format": True,
        "prefix": isrc.prefix,
        "year": isrc.year,
        "designation": isrc.designation,
        "display": str(isrc),
        "compact": isrc.compact,
    }
    assert {name: found[name] for name in expected} == expected, case["source"]
    assert Isrc.parse(str(isrc)) == Isrc.parse(isrc.compact) == Isrc.parse(str(isrc)[5:]) == isrc


@each(
    "text",
    [
        "",
        "AA6Q7200004",
        "AA6Q720000477",
        "aa6q72000047",
        "A16Q72000047",
        "AA6Q7200004X",
        "AA-6Q7-20-0004",
        "AA-6Q72000047",
        "ISRC AA6Q72000047",
        "AA6Q7２０00047",
        "AA6Q72000047\n",
    ],
)
def test_what_is_no_isrc(text):
    with pytest.raises(InvalidFormat) as caught:
        Isrc.parse(text)
    assert str(caught.value) == (
        f"ISRC {text!r} has another form: expected 12 characters like AA6Q72000047, "
        "or with hyphens like AA-6Q7-20-00047"
    )


class TestWhatEachSchemeMisses:
    """Every state the characters before may lead to, every pair of unlike characters: counted, not drawn."""

    @pytest.mark.parametrize(
        ("scheme", "alphabet"),
        [
            (luhn_check_digit, DIGITS),
            (mod11_2_check_character, DIGITS),
            (mod37_2_check_character, ALPHABET),
            (mod97_10_check_digits, DIGITS),
            (mod11_10_check_digit, DIGITS),
            (code39_check_character, CODE_39),
            (gs1_check_pair, CSET_82_ORDER),
        ],
    )
    def test_every_wrong_character_is_caught(self, scheme, alphabet):
        for body in (alphabet[:12], alphabet[-9:], alphabet[0] * 11, alphabet[-1] * 10):
            for at in range(len(body)):
                checks = {scheme(body[:at] + character + body[at + 1 :]) for character in alphabet}
                assert len(checks) == len(alphabet)

    def test_luhn_misses_0_and_9_swapped_and_three_twins(self):
        missed = {
            a + b
            for a, b in product(DIGITS, DIGITS)
            if a < b and luhn_check_digit(a + b) == luhn_check_digit(b + a)
        }
        assert missed == {"09"}
        twins = {
            (a * 2, b * 2)
            for a, b in product(DIGITS, DIGITS)
            if a < b and luhn_check_digit(a * 2) == luhn_check_digit(b * 2)
        }
        assert twins == {("22", "55"), ("33", "66"), ("44", "77")}

    @pytest.mark.parametrize("scheme", [luhn_check_digit, gs1_check_digit])
    def test_mod_10_misses_every_swap_two_places_apart(self, scheme):
        for a, between, b in product(DIGITS, DIGITS, DIGITS):
            assert scheme(a + between + b) == scheme(b + between + a)

    @pytest.mark.parametrize(
        ("scheme", "alphabet", "blind_at"),
        [
            (mod11_2_check_character, DIGITS, 10),
            (mod37_2_check_character, ALPHABET, 36),
            (mod97_10_check_digits, DIGITS, 96),
        ],
    )
    def test_pure_systems_miss_only_swaps_a_whole_turn_apart(self, scheme, alphabet, blind_at):
        pairs = [(a, b) for a, b in product(alphabet, alphabet) if a < b]
        for apart in range(1, blind_at + 1):
            between = alphabet[0] * (apart - 1)
            missed = [(a, b) for a, b in pairs if scheme(a + between + b) == scheme(b + between + a)]
            assert len(missed) == (len(pairs) if apart == blind_at else 0)

    def test_mod_97_10_writes_97_pairs_of_digits(self):
        assert {mod97_10_check_digits(str(number)) for number in range(97)} == {
            f"{n:02d}" for n in range(2, 99)
        }

    def test_mod_11_10_misses_two_swaps_of_neighbours_in_each_state(self):
        # Two digits bring the product to each of the ten states.
        states = {}
        for a, b in product(DIGITS, DIGITS):
            states.setdefault(mod11_10_check_digit(a + b), a + b)
        assert len(states) == 10
        for before in states.values():
            missed = [
                (int(a), int(b))
                for a, b in product(DIGITS, DIGITS)
                if a < b and mod11_10_check_digit(before + a + b) == mod11_10_check_digit(before + b + a)
            ]
            ((a, b),) = missed
            assert b - a in (1, 9)

    def test_code_39_misses_every_swap(self):
        for a, b in product(CODE_39, CODE_39):
            assert code39_check_character(a + b) == code39_check_character(b + a)
            assert code39_check_character(f"{a}7{b}") == code39_check_character(f"{b}7{a}")

    def test_code_128_catches_every_wrong_word_and_every_swap(self):
        words = [105, *([0] * 102)]
        for at in range(1, 103):
            checks = {code128_check_value([*words[:at], word, *words[at + 1 :]]) for word in range(103)}
            assert len(checks) == 103
        for apart in range(1, 102):
            first, second = 7, 91
            one = code128_check_value([104, first, *([0] * (apart - 1)), second])
            assert one != code128_check_value([104, second, *([0] * (apart - 1)), first])
        assert len({code128_check_value([start, 5]) for start in (103, 104, 105)}) == 3
        assert code128_check_value([103, 6]) == code128_check_value([104, 5])

    def test_the_check_pair_catches_every_swap(self):
        for apart in range(1, 23):
            between = "!" * (apart - 1)
            for a, b in product(CSET_82_ORDER, CSET_82_ORDER):
                if a < b:
                    assert gs1_check_pair(a + between + b) != gs1_check_pair(b + between + a)

    def test_the_check_pair_does_not_see_value_0_in_front(self):
        assert gs1_check_pair("!987") == gs1_check_pair("987")


@each(
    ("scheme", "text", "sentence"),
    [
        *(
            (scheme, text, f"expected digits 0-9, found {text!r}")
            for scheme in (
                luhn_check_digit,
                mod11_2_check_character,
                mod97_10_check_digits,
                mod11_10_check_digit,
            )
            for text in ("", "12X", "１２", "١٢", "²", " 1", "1\n")
        ),
        (mod37_2_check_character, "", "expected characters 0-9 and A-Z, found nothing"),
        (mod37_2_check_character, "A*", "expected characters 0-9 and A-Z, found '*' in 'A*'"),
        (mod37_2_check_character, "Aa1", "expected characters 0-9 and A-Z, found 'a' in 'Aa1'"),
        (code39_check_character, "", "a Code 39 check character needs a text before it, found nothing"),
        (code39_check_character, "1a2", "Code 39 has no character 'a', found in '1a2'"),
        (code39_check_character, "*A*", "Code 39 has no character '*', found in '*A*'"),
        (gs1_check_pair, "", "a check pair needs a text before it, found nothing"),
        (gs1_check_pair, "A B", "'A B' holds ' ', which GS1 does not allow there"),
        (gs1_check_pair, "é", "'é' holds 'é', which GS1 does not allow there"),
        (
            gs1_check_pair,
            "1" * 24,
            f"text before a check pair has 1 to 23 characters, found 24 in {'1' * 24!r}",
        ),
        (
            code128_check_value,
            [104],
            "Code 128 begins with 103, 104 or 105 and a character behind it, found [104]",
        ),
        (code128_check_value, [], "Code 128 begins with 103, 104 or 105 and a character behind it, found []"),
        (
            code128_check_value,
            [12, 13],
            "Code 128 begins with 103, 104 or 105 and a character behind it, found [12, 13]",
        ),
        (
            code128_check_value,
            [104, 103],
            "Code 128 characters have values 0 to 102 behind the start, found 103",
        ),
        (
            code128_check_value,
            [104, 5, -1],
            "Code 128 characters have values 0 to 102 behind the start, found -1",
        ),
    ],
)
def test_what_has_no_check_character(scheme, text, sentence):
    with pytest.raises(InvalidFormat) as caught:
        scheme(text)
    assert str(caught.value) == sentence
