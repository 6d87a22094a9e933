"""Check digits and check characters against published values."""

import pytest
from support_each import each
from support_identity import by_id, vectors

from tracelink.errors import InvalidCheckCharacter, InvalidFormat
from tracelink.identity.checkdigit import (
    container_check_digit,
    gs1_check_digit,
    mod37_36_check_character,
    require_gs1_check_digit,
)


@each("case", vectors("gs1_mod10"), ids=by_id)
def test_published_check_digits(case):
    assert gs1_check_digit(case["input"]["body"]) == case["expected"]["check_digit"], case["source"]
    require_gs1_check_digit(case["expected"]["full"], "number")


@pytest.mark.parametrize("case", vectors("gs1_mod10_reject"), ids=by_id)
def test_published_wrong_numbers_are_refused(case):
    value, expected = case["input"]["value"], case["expected"]
    if expected["reason"] == "check digit":
        with pytest.raises(InvalidCheckCharacter) as caught:
            require_gs1_check_digit(value, "GTIN")
        assert str(caught.value) == (
            f"invalid check digit in GTIN {value!r}: expected {expected['correct_check_digit']}, found {value[-1]}"
        )
    else:
        with pytest.raises(InvalidFormat, match="must be digits 0-9 with a check digit"):
            require_gs1_check_digit(value, "GTIN")


@pytest.mark.parametrize("text", ["", "0", "6", "\u0660\u0660"])
def test_a_check_digit_alone_is_no_number(text):
    with pytest.raises(InvalidFormat, match="must be digits 0-9 with a check digit"):
        require_gs1_check_digit(text, "GTIN")


@pytest.mark.parametrize("payload", ["CSQU30543", "CSQU3054388", "CSQ3305438", "csqu305438", "CSQU30543A"])
def test_a_container_has_four_letters_and_six_digits(payload):
    """CSQU3054383 as an example of ISO 6346 (from memory)."""
    assert container_check_digit("CSQU305438") == "3"
    with pytest.raises(InvalidFormat, match="expected four letters A-Z and six digits"):
        container_check_digit(payload)


def _passes(number):
    return gs1_check_digit(number[:-1]) == number[-1]


@pytest.mark.parametrize("case", vectors("gs1_mod10_error"), ids=by_id)
def test_published_errors_and_misses(case):
    assert _passes(case["input"]["original"])
    assert _passes(case["input"]["corrupted"]) is not case["expected"]["detected"], case["source"]


def test_swapped_neighbours_are_missed_exactly_where_they_differ_by_five():
    (case,) = [case for case in vectors("gs1_mod10_count") if "missed_pairs" in case["expected"]]
    pairs = [a + b for a in "0123456789" for b in "0123456789" if a != b]
    missed = [
        pair for pair in pairs if gs1_check_digit(f"95200{pair}0") == gs1_check_digit(f"95200{pair[::-1]}0")
    ]
    assert len(pairs) == case["input"]["total"]
    assert sorted(missed) == sorted(case["expected"]["missed_pairs"]), case["source"]


def test_every_wrong_digit_of_a_published_gtin_is_caught():
    (case,) = [case for case in vectors("gs1_mod10_count") if case["expected"]["missed"] == 0]
    number = "6291041500213"
    wrong = [number[:i] + d + number[i + 1 :] for i in range(13) for d in "0123456789" if d != number[i]]
    assert len(wrong) == case["input"]["total"]
    assert sum(not _passes(text) for text in wrong) == case["expected"]["detected"], case["source"]


def test_wrong_check_digit_is_said_in_a_sentence():
    with pytest.raises(InvalidCheckCharacter) as caught:
        require_gs1_check_digit("6291041500214", "GTIN")
    assert str(caught.value) == "invalid check digit in GTIN '6291041500214': expected 3, found 4"


@pytest.mark.parametrize("text", ["", "12a", "１２３", "١٢٣", "²", " 12", "-1"])
def test_only_ascii_digits_have_a_check_digit(text):
    with pytest.raises(InvalidFormat) as caught:
        gs1_check_digit(text)
    assert str(caught.value) == f"expected digits 0-9, found {text!r}"


@pytest.mark.parametrize("case", vectors("iso7064_mod37_36"), ids=by_id)
def test_published_check_character(case):
    assert mod37_36_check_character(case["input"]["body"]) == case["expected"]["check"], case["source"]


@pytest.mark.parametrize("case", vectors("iso7064_mod37_36_reject"), ids=by_id)
def test_published_wrong_check_character(case):
    value = case["input"]["value"]
    assert mod37_36_check_character(value[:-1]) != value[-1], case["source"]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "expected characters 0-9 and A-Z, found nothing"),
        ("a1", "expected characters 0-9 and A-Z, found 'a' in 'a1'"),
        ("K 1", "expected characters 0-9 and A-Z, found ' ' in 'K 1'"),
        ("K١", "expected characters 0-9 and A-Z, found '١' in 'K١'"),
    ],
)
def test_check_character_refuses_other_characters(text, sentence):
    with pytest.raises(InvalidFormat) as caught:
        mod37_36_check_character(text)
    assert str(caught.value) == sentence
