"""JSON from strangers, read so that it means one thing to everybody, and cannot fill the memory or the stack.

The standard library takes a key twice and keeps the last, takes NaN, turns 1e999 into infinity and a number of a million
digits into work, and keeps halves of surrogate pairs. RFC 8259 (sections 4, 6 and 8.2) leaves each of these to the
reader, so that two readers may book two things; here each is refused with its own sentence.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from typing import Any, Self

from tracelink.errors import UsageError

LARGEST_BYTES = 16 * 1024 * 1024
"""Most bytes of a document: some ten thousand events."""

DEEPEST = 40
"""Most objects and lists inside one another; an EPCIS event has about ten."""

LARGEST_INTEGER = 2**53 - 1
"""Largest whole number that every reader keeps exactly (RFC 8259 section 6, RFC 7493 section 2.2)."""

LONGEST_TEXT = 4000
"""Most characters of one text; the names in an event have some dozens."""

_LONGEST_NUMBER = 40
_TOO_DEEP = f"nested too deep: expected at most {DEEPEST} levels"


class Exact(float):
    """A number with a fraction that still knows how it was written."""

    written: str

    def __new__(cls, written: str) -> Self:
        """Keep `written` beside its value."""
        made = super().__new__(cls, written)
        made.written = written
        return made


def read_json(data: bytes, name: str) -> Any:
    """Return what JSON text says; numbers with a fraction are `Exact`.

    Args:
        data: UTF-8 text, with or without a byte order mark.
        name: of the file, for sentences.

    Raises:
        UsageError: it is too large, no UTF-8, no JSON, or JSON that two readers may take for two things.
    """
    if len(data) > LARGEST_BYTES:
        raise UsageError(f"{name} has {len(data)} bytes: expected at most {LARGEST_BYTES}")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise UsageError(f"{name} is not UTF-8 text: byte {problem.start} cannot be read") from None

    reader = _StrictReader(name)
    try:
        found = json.loads(
            text,
            object_pairs_hook=reader.pairs,
            parse_int=reader.integer,
            parse_float=reader.fraction,
            parse_constant=reader.constant,
        )
    except json.JSONDecodeError as problem:
        at = f"line {problem.lineno}, column {problem.colno}"
        raise reader.refusal(f"no JSON: {problem.msg} in {at}") from None
    except RecursionError:
        raise reader.refusal(_TOO_DEEP) from None
    _require_shallow(found, reader)
    return found


class _StrictReader:
    """What the JSON reader of the standard library asks, answered strictly."""

    def __init__(self, name: str) -> None:
        self._name = name

    def refusal(self, what: str) -> UsageError:
        return UsageError(f"{self._name}: {what}")

    def pairs(self, found: list[tuple[str, Any]]) -> dict[str, Any]:
        read = dict(found)
        if len(read) != len(found):
            twice = next(key for key, times in Counter(key for key, _ in found).items() if times > 1)
            raise self.refusal(f"the key {twice[:60]!r} stands twice in one object")
        return read

    def integer(self, written: str) -> int:
        if len(written) > _LONGEST_NUMBER or abs(int(written)) > LARGEST_INTEGER:
            raise self.refusal(
                f"the number {written[:20]}... is too large: expected at most {LARGEST_INTEGER}"
            )
        return int(written)

    def fraction(self, written: str) -> Exact:
        if len(written) > _LONGEST_NUMBER or not math.isfinite(float(written)):
            raise self.refusal(f"the number {written[:20]}... is too long or too large")
        return Exact(written)

    def constant(self, written: str) -> Any:
        raise self.refusal(f"{written} is not a JSON number")


def _require_shallow(found: Any, reader: _StrictReader) -> None:
    """Look at every value, level by level: no recursion, so that depth cannot break it."""
    level, depth = [found], 0
    while level:
        depth += 1
        if depth > DEEPEST:
            raise reader.refusal(_TOO_DEEP)
        below: list[Any] = []
        for value in level:
            if isinstance(value, dict):
                below += value
                below += value.values()
            elif isinstance(value, list):
                below += value
            elif isinstance(value, str):
                _require_text(value, reader)
        level = below


def _require_text(value: str, reader: _StrictReader) -> None:
    if any("\ud800" <= character <= "\udfff" for character in value):
        raise reader.refusal("half of a surrogate pair, which is not a character, stands in a text")
    if "\x00" in value:
        raise reader.refusal("the character U+0000, which not every database takes, stands in a text")
    if len(value) > LONGEST_TEXT:
        raise reader.refusal(f"a text has {len(value)} characters: expected at most {LONGEST_TEXT}")
