"""Entry bodies as typed dataclasses, and back, strictly.

Field types may be `str`, `int`, `bool`, one of these or None, a tuple of them, or a tuple of further body
dataclasses. Anything else in a stored body is refused: a journal is read as it was meant or not at all.
"""

import types
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from enum import StrEnum
from functools import cache
from operator import attrgetter, itemgetter
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from tracelink.errors import NotCanonical

T = TypeVar("T")

Where = str | tuple["Where", str]
"""A name, or a place and what leads on from it: put together only where something is refused."""
_Read = Callable[[Any, Where], Any]
"""Returns a value as its field has it, or raises `NotCanonical` with the place."""

_PLAIN_ALREADY = (str, int, bool, type(None))


def to_body(value: Any) -> dict[str, Any]:
    """Return a body dataclass as plain JSON data."""
    names, pick = _names(type(value))
    # Asked of every scan and entry, and most fields are plain already.
    return {
        name: field if type(field) in _PLAIN_ALREADY else _plain(field)
        for name, field in zip(names, pick(value), strict=True)
    }


def from_body(cls: type[T], body: Mapping[str, Any], where: "Where") -> T:
    """Read plain JSON data into the body dataclass `cls`.

    Args:
        cls: a frozen dataclass of a kind.
        body: what the entry holds.
        where: the name shown in a refusal, such as the kind, or a place inside it.

    Raises:
        NotCanonical: a field is missing, unknown, or of another type.
    """
    reader = _reader(cls)
    values = reader.values(body)
    if values is None:
        raise NotCanonical(f"{_shown(where)} has fields {sorted(body)}: expected {sorted(_hints(cls))}")
    # Most fields are plain, and of the types that the same fields of other entries had.
    types_now = tuple([type(value) for value in values])
    if types_now not in reader.plain:
        values = [
            read(value, (where, f".{name}"))
            for (name, read), value in zip(reader.fields(cls), values, strict=True)
        ]
        if all(each in _PLAIN_ALREADY for each in types_now):
            reader.plain.add(types_now)
    return cls(*values)


def has_fields(cls: type[Any], body: Mapping[str, Any]) -> bool:
    """Return whether plain JSON data has just the fields of a body dataclass; says nothing about their types."""
    return set(body) == set(_hints(cls))


_HINTS: dict[type, dict[str, Any]] = {}
# Resolving hints costs more than reading a body, and there are only as many as there are kinds.


@dataclass(slots=True)
class _FieldReader:
    """How the fields of a body class are read."""

    values: Callable[[Mapping[str, Any]], Sequence[Any] | None]
    """Returns the values of all fields in order; None if the data has other fields."""
    plain: set[tuple[type, ...]] = field(default_factory=set)
    """Types that all values had together and that are as they should be, of bodies without tuples and parts."""
    _fields: list[tuple[str, _Read]] = field(default_factory=list)

    def fields(self, cls: type[Any]) -> list[tuple[str, _Read]]:
        """Return the names of the fields, and what reads each."""
        if not self._fields:
            self._fields = [(name, _reading(hint)) for name, hint in _hints(cls).items()]
        return self._fields


_FIELD_READERS: dict[type, _FieldReader] = {}


def _reader(cls: type[Any]) -> _FieldReader:
    known = _FIELD_READERS.get(cls)
    if known is None:
        known = _FIELD_READERS[cls] = _FieldReader(_taking(tuple(_hints(cls))))
    return known


def _taking(names: tuple[str, ...]) -> Callable[[Mapping[str, Any]], Sequence[Any] | None]:
    if len(names) < 2:
        # Of one name `itemgetter` gives the bare value, of none it cannot be made.
        return lambda body: [body[name] for name in names] if set(body) == set(names) else None
    pick, count = itemgetter(*names), len(names)

    def values(body: Mapping[str, Any]) -> Sequence[Any] | None:
        try:
            found: tuple[Any, ...] = pick(body)
        except KeyError:
            return None
        return found if len(body) == count else None

    return values


def _hints(cls: Any) -> dict[str, Any]:
    if cls not in _HINTS:
        hints = get_type_hints(cls)
        _HINTS[cls] = {field.name: hints[field.name] for field in fields(cls)}
    return _HINTS[cls]


_Names = tuple[tuple[str, ...], Callable[[Any], tuple[Any, ...]]]
"""The names of the fields of a class, and what takes their values from one of its kind."""

_NAMES: dict[type, _Names] = {}


def _names(cls: Any) -> _Names:
    known = _NAMES.get(cls)
    if known is None:
        names = tuple(field.name for field in fields(cls))
        known = _NAMES[cls] = (names, _picking(names))
    return known


def _picking(names: tuple[str, ...]) -> Callable[[Any], tuple[Any, ...]]:
    if len(names) > 1:
        return attrgetter(*names)
    # Of one name `attrgetter` gives the bare value, of none it cannot be made.
    return lambda value: tuple(getattr(value, name) for name in names)


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if is_dataclass(value):
        return to_body(value)
    if isinstance(value, StrEnum):
        return value.value
    return value


def _shown(where: Where) -> str:
    return where if isinstance(where, str) else f"{_shown(where[0])}{where[1]}"


def _refused(hint: Any, value: Any, where: Where) -> NotCanonical:
    return NotCanonical(f"{_shown(where)} is {value!r}: expected {hint!r}")


@cache
def _reading(hint: Any) -> _Read:
    """Return what reads a value that a field is said to be: looking at what it is said to be takes longer than reading it."""
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return _reading_optional(next(arg for arg in get_args(hint) if arg is not type(None)))
    if origin is tuple:
        return _reading_tuple(hint)
    is_part = isinstance(hint, type) and is_dataclass(hint)

    def read(value: Any, where: Where) -> Any:
        # bool is a kind of int in Python; a count of True must not pass.
        if not is_part and type(value) is hint:
            return value
        if is_part and isinstance(value, dict):
            return from_body(hint, value, where)
        raise _refused(hint, value, where)

    return read


def _reading_optional(hint: Any) -> _Read:
    inner = _reading(hint)
    return lambda value, where: None if value is None else inner(value, where)


def _reading_tuple(hint: Any) -> _Read:
    inner = _reading(get_args(hint)[0])

    def read(value: Any, where: Where) -> Any:
        if not isinstance(value, list):
            raise _refused(hint, value, where)
        return tuple([inner(item, (where, f"[{place}]")) for place, item in enumerate(value)])

    return read
