"""The fields of the form of `/contain` as a question."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from tracelink.clock import local_time
from tracelink.errors import UsageError
from tracelink.genealogy.containment.query import ContainmentQuery, parse_seconds
from tracelink.genealogy.containment.query_words import from_words

FIELDS = ("cause", "shape", "defect", "also", "only_with", "evidence", "window", "since", "until", "seconds")
"""Names of the fields, as they stand in the address of a question."""
_WORDS = {"shape": "--shape", "defect": "--defect", "window": "--window", "since": "--from", "until": "--to"}
"""The word of a question for each field."""
_WORDS_OF_SEVERAL = {"also": "--also", "only_with": "--only-with", "evidence": "--evidence"}
"""The same for fields that take several."""
_DAY = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[ T]([0-9]{2}:[0-9]{2}(?::[0-9]{2})?))?")
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
    for name, at in (("since", "00:00"), ("until", "23:59:59")):
        if name in said:
            said[name] = day_or_time(said[name], at)
    words = [said["cause"]]
    words += [part for name, word in _WORDS.items() if name in said for part in (word, said[name])]
    for name, word in _WORDS_OF_SEVERAL.items():
        words += [part for each in _PIECES.findall(said.get(name, "")) for part in (word, each)]
    return replace(from_words(words), seconds=parse_seconds(said.get("seconds", _PATIENCE)))


def fields_of_question(query: ContainmentQuery) -> dict[str, str]:
    """Return the fields that spell a question, for its address; none if the form has no place for it."""
    if any(len(clause) > 1 for clause in query.only_with):
        return {}
    window = "" if query.window is None else f"{query.window[0]}-{query.window[1]}"
    fields = {
        "cause": query.cause,
        "shape": query.shape.value,
        "defect": query.defect,
        "also": " ".join(query.also),
        "only_with": " ".join(code for clause in query.only_with for code in clause),
        "evidence": " ".join(map(str, query.evidence)),
        "window": window,
        "since": query.since,
        "until": query.until,
    }
    return {name: text for name, text in fields.items() if text}


def day_or_time(text: str, at: str) -> str:
    """Return a day, or a day and a time, as a time by the clock of this machine; what is neither stays as it is.

    Args:
        text: as it was typed.
        at: the time of a day that is given alone.
    """
    day = _DAY.fullmatch(text)
    if day is None:
        return text
    try:
        return local_time(datetime.fromisoformat(f"{day[1]}T{day[2] or at}")) or text
    except (ValueError, OverflowError):
        return text
