"""The fields of the form of `/contain` as a question."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from tracelink.errors import UsageError
from tracelink.genealogy.containment.query import ContainmentQuery, parse_seconds
from tracelink.genealogy.containment.query_words import from_words

FIELDS = ("cause", "shape", "defect", "also", "only_with", "evidence", "window", "since", "until", "seconds")
"""Names of the fields, as they stand in the address of a question."""
_WORDS = {"shape": "--shape", "defect": "--defect", "window": "--window", "since": "--from", "until": "--to"}
"""The word of a question for each field."""
_WORDS_OF_SEVERAL = {"also": "--also", "only_with": "--only-with", "evidence": "--evidence"}
"""The same for fields that take several."""
_PIECES = re.compile(r"[^\s,]+")
_PATIENCE = "20"
"""Seconds unless said otherwise: what somebody waits for at a screen."""


def question_of(given: Mapping[str, str]) -> ContainmentQuery:
    """Return the question that the fields spell; empty fields ask nothing.

    Args:
        given: text by name of a field; several codes or judged discs with blanks or commas between.

    Raises:
        UsageError: the cause or the shape is missing, or a field has the wrong form.
        IdentifierError: the code of a lot is invalid.
    """
    said = {name: text for name in FIELDS if (text := given.get(name, "").strip())}
    if "cause" not in said:
        raise UsageError("the cause is missing: expected a code, such as that of a stamper, lot or carton")
    words = [said["cause"]]
    words += [part for name, word in _WORDS.items() if name in said for part in (word, said[name])]
    for name, word in _WORDS_OF_SEVERAL.items():
        words += [part for each in _PIECES.findall(said.get(name, "")) for part in (word, each)]
    return replace(from_words(words), seconds=parse_seconds(said.get("seconds", _PATIENCE)))
