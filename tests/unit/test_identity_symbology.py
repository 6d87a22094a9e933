"""Symbology identifiers against the published table."""

import pytest
from support_each import each
from support_identity import by_id, vectors

from tracelink.errors import UnknownSymbology
from tracelink.identity.symbology import GRAMMARS, Grammar, grammar_of, name_of, split_identifier


@each("case", vectors("symbology_identifier"), ids=by_id)
def test_published_identifiers(case):
    prefix = case["input"]["prefix"]
    assert split_identifier(prefix + "payload") == (prefix, "payload")
    if prefix in GRAMMARS:
        is_elements = grammar_of(prefix) is Grammar.ELEMENTS
        assert is_elements is case["expected"]["gs1_element_strings"], case["source"]
    else:
        with pytest.raises(UnknownSymbology) as caught:
            grammar_of(prefix)
        assert str(caught.value) == (
            f"{name_of(prefix)} is not used here: expected one of ]C0, ]d1, ]E0, ]E4, ]C1, ]e0, ]d2, ]Q3"
        )


def test_every_accepted_identifier_is_published():
    # The list of check values has no rows for ]C1 and ]Q3; the scans of the same source do.
    published = {case["input"]["prefix"] for case in vectors("symbology_identifier")}
    scanned = {case["input"]["data"][:3] for case in vectors("scan")}
    assert set(GRAMMARS) <= published | scanned


@pytest.mark.parametrize(
    ("identifier", "name"),
    [
        ("]C1", "]C1 (GS1-128)"),
        ("]A4", "]A4 (Code 39)"),
        ("]E4", "]E4 (EAN-8)"),
        ("]I1", "]I1 (Interleaved 2 of 5)"),
        ("]J1", "]J1 (GS1 DotCode)"),
        ("]z9", "]z9"),
    ],
)
def test_names_for_sentences(identifier, name):
    assert name_of(identifier) == name


@each("raw", ["", "]", "]C", "ABC", "C10012", "]1C0012", "]C-0012", "]é1", "] 1", "9520000012342"])
def test_a_line_without_identifier_tells_what_to_switch_on(raw):
    with pytest.raises(UnknownSymbology) as caught:
        split_identifier(raw)
    assert str(caught.value) == (
        f"{raw!r} has no symbology identifier: expected ']', a letter and a digit or letter in front; "
        "switch on the scanner's symbology identifier (AIM prefix) and scan again; what is keyed begins with # or a double quote"
    )
