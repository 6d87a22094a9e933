"""Plant codes and act cards."""

import pytest
from support_each import each

from tracelink.errors import InvalidCheckCharacter, InvalidFormat, UsageError
from tracelink.identity.checkdigit import mod37_36_check_character
from tracelink.identity.plantcode import CodeKind, PlantCode, act_code, kind_of, parse_act


def test_every_kind_has_its_letter_and_the_plants_word():
    assert {kind.value: kind.noun for kind in CodeKind} == {
        "T": "tool tag",
        "L": "lot card",
        "K": "spindle card",
        "S": "sample tag",
        "B": "sleeve batch",
        "P": "badge",
        "A": "act card",
        "C": "compound lot",
        "E": "label lot",
        "W": "station",
        "H": "hold",
        "O": "order",
        "D": "shipment",
        "I": "kit item",
        "Q": "containment case",
        "Y": "location",
        "R": "reason card",
        "X": "step card",
        "V": "equipment tag",
        "M": "part lot card",
        "F": "reel label",
        "J": "slot tag",
        "N": "build order card",
        "U": "serial label",
        "G": "gauge",
    }


# Check characters computed by hand from the rule of ISO/IEC 7064: K000142 runs 36 -> 3, 6, 12, 24, 13, 34, 35
# through the products, and 35 needs 2 to reach 37 = 1 modulo 36.
def test_a_code_worked_by_hand():
    assert PlantCode.build(CodeKind.SPINDLE, 142).text == "K0001422"


def test_a_code_of_one_kind():
    assert PlantCode.parse_one(CodeKind.SPINDLE, "K0001422").number == 142
    with pytest.raises(UsageError, match=r"^K0001422 is a spindle card: expected a gauge$"):
        PlantCode.parse_one(CodeKind.GAUGE, "K0001422")
    with pytest.raises(InvalidCheckCharacter):
        PlantCode.parse_one(CodeKind.SPINDLE, "K0001423")


@each("number", [1, 999_999, 1_000_000, 999_999_999])
@each("kind", [kind for kind in CodeKind if kind is not CodeKind.ACT])
def test_codes_read_back(kind, number):
    code = PlantCode.build(kind, number)
    assert PlantCode.parse(code.text) == code == PlantCode(kind, number)
    assert str(code) == code.text
    assert kind_of(code.text) is kind


def test_small_numbers_are_padded_and_large_ones_are_not():
    assert PlantCode.build(CodeKind.LOT, 7).text[:-1] == "L000007"
    assert PlantCode.build(CodeKind.LOT, 1_234_567).text[:-1] == "L1234567"


SHAPE = "is not a plant code: expected a capital letter, 6 to 9 digits and a check character"


@pytest.mark.parametrize(
    ("text", "error", "sentence"),
    [
        ("K0001427", InvalidCheckCharacter, "check character of 'K0001427' is wrong: expected 2, found 7"),
        ("", InvalidFormat, f"'' {SHAPE}"),
        ("K00142X", InvalidFormat, f"'K00142X' {SHAPE}"),
        ("K12345678901", InvalidFormat, f"'K12345678901' {SHAPE}"),
        ("K0001422\n", InvalidFormat, f"'K0001422\\n' {SHAPE}"),
        ("K00O1422", InvalidFormat, f"'K00O1422' {SHAPE}"),
        ("K٠٠٠١٤٢2", InvalidFormat, f"'K٠٠٠١٤٢2' {SHAPE}"),
        (
            "k0001422",
            InvalidFormat,
            (
                "'k0001422' has small letters; expected 'K0001422': check the reader's letter case setting and the "
                "keyboard's Caps Lock"
            ),
        ),
        (
            "Z0001422",
            InvalidFormat,
            "plant code 'Z0001422' begins with 'Z'; expected one of the letters TLKSBPACEWHODYIQRXVGMFJNU",
        ),
    ],
)
def test_what_is_no_plant_code(text, error, sentence):
    with pytest.raises(error) as caught:
        PlantCode.parse(text)
    assert str(caught.value) == sentence


def test_one_thing_has_one_text():
    # K0000142 + check would be number 142 again, under a second spelling.
    long_form = "K0000142" + mod37_36_check_character("K0000142")
    with pytest.raises(InvalidFormat) as caught:
        PlantCode.parse(long_form)
    assert str(caught.value) == (
        f"plant code {long_form!r} has needless zeros: expected at most 6 digits with them"
    )


@pytest.mark.parametrize("number", [0, -1, 1_000_000_000])
def test_numbers_that_do_not_fit(number):
    with pytest.raises(InvalidFormat) as caught:
        PlantCode.build(CodeKind.LOT, number)
    assert str(caught.value) == f"number of a lot card must be 1 to 999999999, found {number}"


def test_an_act_card_has_no_number():
    with pytest.raises(InvalidFormat, match="an act card carries a word, not a number"):
        PlantCode.build(CodeKind.ACT, 1)


@pytest.mark.parametrize("word", ["GO", "STOP", "CLOSECARTON", "ABCDEFGHIJKLMN"])
def test_act_cards_read_back(word):
    text = act_code(word)
    assert text[:-1] == "A" + word
    assert parse_act(text) == word
    assert kind_of(text) is CodeKind.ACT


@pytest.mark.parametrize("word", ["", "X", "stop", "NO READ", "R2", "ABCDEFGHIJKLMNO", "ÄÖ"])
def test_words_that_fit_no_act_card(word):
    with pytest.raises(InvalidFormat) as caught:
        act_code(word)
    assert str(caught.value) == f"act word must be 2 to 14 letters A-Z, found {word!r}"


def test_wrong_act_cards_are_refused():
    right = act_code("STOP")
    wrong = right[:-1] + ("0" if right[-1] != "0" else "1")
    with pytest.raises(InvalidCheckCharacter) as caught:
        parse_act(wrong)
    assert str(caught.value) == (
        f"check character of {wrong!r} is wrong: expected {right[-1]}, found {wrong[-1]}"
    )
    with pytest.raises(InvalidFormat, match="has small letters; expected"):
        parse_act(right.lower())
    with pytest.raises(InvalidFormat, match="is not an act card: expected A, a word of 2 to 14 letters"):
        parse_act("K0001422")
