"""Entry bodies as typed dataclasses, and back, strictly.

Field types may be `str`, `int`, `bool`, one of these or None, a tuple of them, or a tuple of further body
dataclasses. Anything else in a stored body is refused: a journal is read as it was meant or not at all.
"""

import types
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import StrEnum
from operator import attrgetter
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from tracelink.errors import NotCanonical

T = TypeVar("T")


_PLAIN_ALREADY = (str, int, bool, type(None))


def to_body(value: Any) -> dict[str, Any]:
    """Return a body dataclass as plain JSON data."""
    names, pick = _names(type(value))
    # Asked of every scan and entry, and most fields are plain already.
    return {
        name: field if type(field) in _PLAIN_ALREADY else _plain(field)
        for name, field in zip(names, pick(value), strict=True)
    }


def from_body(cls: type[T], body: Mapping[str, Any], where: str) -> T:
    """Read plain JSON data into the body dataclass `cls`.

    Args:
        cls: a frozen dataclass of a kind.
        body: what the entry holds.
        where: the name shown in a refusal, such as the kind.

    Raises:
        NotCanonical: a field is missing, unknown, or of another type.
    """
    hints = _hints(cls)
    if set(body) != set(hints):
        raise NotCanonical(f"{where} has fields {sorted(body)}: expected {sorted(hints)}")
    return cls(**{name: _read(hint, body[name], f"{where}.{name}") for name, hint in hints.items()})


def has_fields(cls: type[Any], body: Mapping[str, Any]) -> bool:
    """Return whether plain JSON data has just the fields of a body dataclass; says nothing about their types."""
    return set(body) == set(_hints(cls))


_HINTS: dict[type, dict[str, Any]] = {}
# Resolving hints costs more than reading a body, and there are only as many as there are kinds.


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


def _read(hint: Any, value: Any, where: str) -> Any:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        if value is None:
            return None
        return _read(next(arg for arg in get_args(hint) if arg is not type(None)), value, where)
    if origin is tuple and isinstance(value, list):
        inner = get_args(hint)[0]
        return tuple(_read(inner, item, f"{where}[{place}]") for place, item in enumerate(value))
    if isinstance(hint, type) and is_dataclass(hint) and isinstance(value, dict):
        return from_body(hint, value, where)
    # bool is a kind of int in Python; a count of True must not pass.
    if hint in (str, int, bool) and type(value) is hint:
        return value
    raise NotCanonical(f"{where} is {value!r}: expected {hint!r}")
