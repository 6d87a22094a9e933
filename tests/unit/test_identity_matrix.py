"""Matrix numbers in the form a plant sets; the forms here are invented."""

import pytest

from tracelink.errors import InvalidFormat, InvalidLength, UsageError
from tracelink.identity.matrix import MatrixGrammar

GRAMMAR = MatrixGrammar(r"[A-Z]{2,4} \d{3,5}-[A-D]\d{1,2}", "OX 1041-A2")


@pytest.mark.parametrize(
    "typed",
    [
        "OX 1041-A2",
        "ox 1041-a2",
        "  OX   1041-A2 ",
        "OX\u00a01041\u2013A2",
        "OX 1041\u2212A2",
        "OX 1041\u2010A2",
    ],
)
def test_one_matrix_number_however_it_was_typed(typed):
    assert GRAMMAR.parse(typed) == "OX 1041-A2"


@pytest.mark.parametrize(
    ("typed", "error", "sentence"),
    [
        ("", InvalidFormat, "matrix number is empty; expected a form like 'OX 1041-A2'"),
        ("   ", InvalidFormat, "matrix number is empty; expected a form like 'OX 1041-A2'"),
        (
            "OX 1041",
            InvalidFormat,
            "matrix number 'OX 1041' is not of this plant's form; expected a form like 'OX 1041-A2'",
        ),
        (
            "OX 1O41-A2",
            InvalidFormat,
            "matrix number 'OX 1O41-A2' is not of this plant's form; expected a form like 'OX 1041-A2'",
        ),
        (
            "OX\t1041-A2",
            InvalidFormat,
            "matrix number 'OX\\t1041-A2' holds the control character '\\t'; expected letters, digits and marks",
        ),
        (
            "OX 1041-A2\x7f",
            InvalidFormat,
            "matrix number 'OX 1041-A2\\x7f' holds the control character '\\x7f'; expected letters, digits and marks",
        ),
        (
            "ÖX 1041-A2",
            InvalidFormat,
            "matrix number 'ÖX 1041-A2' holds 'Ö'; expected letters A-Z, digits and marks as in 'OX 1041-A2'",
        ),
        (
            "OX ١٠٤١-A2",
            InvalidFormat,
            "matrix number 'OX ١٠٤١-A2' holds '١'; expected letters A-Z, digits and marks as in 'OX 1041-A2'",
        ),
        ("A" * 41, InvalidLength, f"matrix number '{'A' * 41}' has 41 characters; expected at most 40"),
    ],
)
def test_what_is_no_matrix_number(typed, error, sentence):
    with pytest.raises(error) as caught:
        GRAMMAR.parse(typed)
    assert str(caught.value) == sentence


@pytest.mark.parametrize("letter", ["ß", "ı", "ſ", "ﬁ"])
def test_no_foreign_letter_turns_into_an_ascii_one(letter):
    # str.upper() makes SS, I, S and FI of these.
    with pytest.raises(InvalidFormat, match="expected letters A-Z"):
        MatrixGrammar(r"[A-Z]+", "OX").parse(f"A{letter}")


def test_look_alikes_are_suggested_and_never_swapped():
    known = ["OX 1041-A2", "0X 1041-A2", "OX 1041-B2", "OX IO41-A2", "OX 1042-A2"]
    assert GRAMMAR.likely("ox 1041-a2", known) == ["0X 1041-A2", "OX IO41-A2"]
    assert GRAMMAR.likely("OX 1043-A2", known) == []
    assert GRAMMAR.normalise("OX 1O4I-A2") == "OX 1O4I-A2"


def test_a_wrong_setting_is_refused_when_it_is_made():
    with pytest.raises(UsageError, match=r"matrix pattern '\[' is not a regular expression"):
        MatrixGrammar("[", "OX")
    with pytest.raises(UsageError) as caught:
        MatrixGrammar("[a-z]+", "OX")
    assert str(caught.value) == "matrix example 'OX' does not match its own pattern '[a-z]+'"
