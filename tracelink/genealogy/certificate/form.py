"""Reading a certificate that somebody hands in: every value is looked at before it is used."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from tracelink.errors import UsageError
from tracelink.genealogy.model.strokes import Span, StrokeSet

_T = TypeVar("_T")

GREATEST = 2**53
"""Numbers beyond it do not survive every program that reads JSON (RFC 8259, 6), and no plant has them."""


def text(data: Any, key: str) -> str:
    """The text under a key."""
    return _typed(data, key, str, "a text")


def number(data: Any, key: str) -> int:
    """The whole number under a key."""
    return whole(_value(data, key), key)


def whole(value: Any, key: str) -> int:
    """A whole number, not true or false, within `GREATEST`."""
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > GREATEST:
        raise UsageError(f"{key!r}: expected a whole number, found {_short(value)}")
    return value


def flag(data: Any, key: str) -> bool:
    """The truth under a key."""
    return _typed(data, key, bool, "true or false")


def items(data: Any, key: str) -> list[Any]:
    """The list under a key."""
    return _typed(data, key, list, "a list")


def texts(data: Any, key: str) -> list[str]:
    """The list of texts under a key."""
    found = items(data, key)
    for one in found:
        if not isinstance(one, str):
            raise UsageError(f"{key!r}: expected texts, found {_short(one)}")
    return found


def numbers(row: Any, key: str, length: int) -> Sequence[int]:
    """A row of whole numbers."""
    if not isinstance(row, list) or len(row) != length:
        raise UsageError(f"{key!r}: expected rows of {length} numbers, found {_short(row)}")
    return [whole(value, key) for value in row]


def strokes(data: Any, key: str) -> StrokeSet:
    """The strokes under a key, as [first, last] pairs."""
    pairs = [numbers(row, key, 2) for row in items(data, key)]
    return StrokeSet.of(*(Span(first, last) for first, last in pairs))


def member(data: Any, key: str) -> dict[str, Any]:
    """The object under a key."""
    return _typed(data, key, dict, "an object")


def _typed(data: Any, key: str, kind: type[_T], what: str) -> _T:
    value = _value(data, key)
    if not isinstance(value, kind):
        raise UsageError(f"{key!r}: expected {what}, found {_short(value)}")
    return value


def _value(data: Any, key: str) -> Any:
    if not isinstance(data, dict):
        raise UsageError(f"expected an object with {key!r}, found {_short(data)}")
    if key not in data:
        raise UsageError(f"{key!r} is missing; expected a scope written with --format json")
    return data[key]


def _short(value: Any) -> str:
    shown = repr(value)
    return shown if len(shown) <= 60 else shown[:57] + "..."
