"""Shared by the tests of identity: published check values and a few invented numbers of the example prefix 952."""

import json
from pathlib import Path

from tracelink.identity.aitable import RULES

VECTORS = json.loads((Path(__file__).parent / "vectors" / "identity.json").read_text(encoding="utf-8"))

SINGLE = "9520000012342"
"""GTIN-13 of an invented title; GS1 reserves prefix 952 for examples."""

SSCC = "006141411234567890"
"""GS1 General Specifications 21.0.1, figure 6.6.5-1."""

GS = "\x1d"


def vectors(*kinds):
    """Return the published cases of some kinds; a kind without any case is a mistake in the test."""
    for kind in kinds:
        assert any(case["kind"] == kind for case in VECTORS), kind
    return [case for case in VECTORS if case["kind"] in kinds]


def by_id(case):
    return case["id"]


def raw_text(case):
    """Published raw strings write the separator as a caret."""
    return case["input"]["raw"].replace("^", GS)


def foreign(elements):
    """Return the first application identifier that is not one of this plant's seven, or None."""
    return next((ai for ai, _ in elements if ai not in RULES), None)


def bracketed_pairs(text):
    """Part a bracketed text at its brackets, without judging anything."""
    return [tuple(part.split(")", 1)) for part in text.split("(")[1:]]
