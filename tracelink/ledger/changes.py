"""What an entry does to the tables, as plain data.

A projection is a function from one entry to a list of these changes; it reads nothing, so replaying the
same entries gives the same rows. `store/` carries them out; a change that does not fit (no such row, a
negative place, an overlap) is refused there by the schema.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Insert:
    """A new row."""

    table: str
    row: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Update:
    """New values in exactly one existing row."""

    table: str
    key: Mapping[str, Any]
    values: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Increase:
    """Add `by` to a count; the row is made with that count if it is not there yet."""

    table: str
    key: Mapping[str, Any]
    column: str
    by: int


@dataclass(frozen=True, slots=True)
class Delete:
    """Exactly one existing row goes; the journal still tells that it was there."""

    table: str
    key: Mapping[str, Any]


Change = Insert | Update | Increase | Delete
