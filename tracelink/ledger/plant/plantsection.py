"""One table of a plant file, read field by field; a wrong field is named with its place.

Theory of operation
-------------------
A person who wrote twenty wrong fields wants to hear of twenty, not of the first. A reader of a table raises at the first
wrong field; `FileFaults` keeps that fault, forgives the field, and reads the table again: a forgiven field answers with
something that fits, so that the reader comes as far as the next wrong one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.plantcode import CodeKind, PlantCode

_T = TypeVar("_T")
_ANY_GTIN = "0000000000000"
_UNKNOWN = "unknown"
"""Stands for the names of a table that nobody asked for, when they are forgiven."""


@dataclass(frozen=True, slots=True)
class FilePlace:
    """Where something stands in a plant file."""

    section: str = ""
    """Name of the table, such as product; empty for the file as a whole."""
    number: int = 0
    """Which of the tables of that name, from 1; 0 where there is only one."""
    field: str = ""
    """Name of the field; empty for the table as a whole."""


@dataclass(frozen=True, slots=True)
class FileFault:
    """One thing that is wrong in a plant file."""

    place: FilePlace
    sentence: str
    """Names the table and the field, what was expected and what was found."""


class PlantSection:
    """One table of the file; every method that reads a field raises `UsageError` for a wrong one."""

    def __init__(
        self, where: str, fields: object, place: FilePlace | None = None, faults: FileFaults | None = None
    ) -> None:
        """Take a parsed table.

        Args:
            where: names it in a refusal.
            fields: what was parsed.
            place: where it stands.
            faults: what is known to be wrong already.
        """
        self.where = where
        self.place = place or FilePlace()
        self._faults = faults or FileFaults()
        if not isinstance(fields, Mapping):
            raise self._fault("", f"{where}: expected a table, found {fields!r}")
        self._fields = dict(fields)

    def inside(self, what: str, fields: object, field: str) -> PlantSection:
        """Return a table that stands in a field of this one."""
        return PlantSection(f"{self.where}, {what}", fields, replace(self.place, field=field), self._faults)

    def inside_named(self, where: str, fields: object, field: str) -> PlantSection:
        """Return the same under a name of its own."""
        return PlantSection(where, fields, replace(self.place, field=field), self._faults)

    def require(self, fits: bool, field: str, sentence: str) -> None:
        """Refuse a field by a sentence unless it fits, or is forgiven."""
        if not fits and not self._is_forgiven(field):
            raise self._fault(field, f"{self.where}: {sentence}")

    def text(self, name: str) -> str:
        """A text that must be there."""
        return str(self._take(name, str, "text", "x"))

    def number(self, name: str, least: int = 0) -> int:
        """A whole number that must be there, `least` or more."""
        value = self._take(name, int, "a whole number", least)
        fits = not isinstance(value, bool) and value >= least
        self.require(fits, name, f"{name} is {value}: expected a whole number of {least} or more")
        return int(value) if fits else least

    def flag(self, name: str) -> bool:
        """True or false; false if it is not there."""
        return bool(self._take(name, bool, "true or false", False)) if name in self._fields else False

    def optional(self, name: str, read: Callable[[str], _T]) -> _T | None:
        """What `read` makes of a field; None if it is not there."""
        return read(name) if name in self._fields else None

    def code(self, name: str, *kinds: CodeKind) -> str:
        """A plant code of one of some kinds, as canonical text."""
        text = self.text(name)
        try:
            code = PlantCode.parse(text)
        except IdentifierError as problem:
            self.require(False, name, f"{name}: {problem}")
            return PlantCode.build(kinds[0], 1).text
        wanted = " or ".join(f"a {kind.noun}" for kind in kinds)
        self.require(
            code.kind in kinds, name, f"{name} is {text}: expected {wanted}, found a {code.kind.noun}"
        )
        return code.text

    def gtin(self, name: str) -> str:
        """A product number as GTIN-13."""
        try:
            return Gtin.parse(self.text(name)).gtin13
        except IdentifierError as problem:
            self.require(False, name, f"{name}: {problem}")
            return _ANY_GTIN

    def one_of(self, name: str, words: tuple[str, ...]) -> str:
        """One of these words."""
        value = self.text(name)
        self.require(value in words, name, f"{name} is {value!r}: expected one of {', '.join(words)}")
        return value if value in words else words[0]

    def many(self, name: str) -> list[Any]:
        """A list of tables or values; empty if it is not there."""
        value = self._fields.pop(name, [])
        self.require(isinstance(value, list), name, f"{name}: expected a list, found {value!r}")
        return value if isinstance(value, list) else []

    def table(self, name: str) -> Mapping[str, Any]:
        """A table; empty if it is not there."""
        value = self._fields.pop(name, {})
        self.require(isinstance(value, Mapping), name, f"{name}: expected a table, found {value!r}")
        return value if isinstance(value, Mapping) else {}

    def end(self) -> None:
        """Refuse fields that nobody asked for."""
        if self._fields and not self._is_forgiven(_UNKNOWN):
            first = min(self._fields)
            told = f"{self.where}: unknown {', '.join(sorted(self._fields))}"
            raise self._fault(_UNKNOWN, told, shown=first)

    def _take(self, name: str, kind: type, what: str, instead: Any) -> Any:
        value = self._fields.pop(name, None)
        if self._is_forgiven(name) and not isinstance(value, kind):
            return instead
        if value is None:
            raise self._fault(name, f"{self.where}: {name} is missing: expected {what}")
        if not isinstance(value, kind):
            raise self._fault(name, f"{self.where}: {name} is {value!r}: expected {what}")
        return value

    def _is_forgiven(self, field: str) -> bool:
        return (self.where, field) in self._faults.forgiven

    def _fault(self, field: str, sentence: str, shown: str = "") -> UsageError:
        named = shown or field
        place = self.place if self.place.field or not named else replace(self.place, field=named)
        return _FieldFault(FileFault(place, sentence), (self.where, field))


class _FieldFault(UsageError):  # noqa: N818  it is a fault of the file, as `FileFault` is
    """A wrong field, and by what it is forgiven."""

    def __init__(self, fault: FileFault, key: tuple[str, str]) -> None:
        self.fault = fault
        self.key = key
        super().__init__(fault.sentence)


class FileFaults:
    """All that is wrong in a file."""

    def __init__(self) -> None:
        self.found: list[FileFault] = []
        self.forgiven: set[tuple[str, str]] = set()
        """Table and field of what is known to be wrong."""

    def read(self, place: FilePlace, read: Callable[[], _T]) -> _T | None:
        """Return what a reader makes of a table, again and again until all that is wrong in it was found.

        Args:
            place: of the table.
            read: makes its `PlantSection` anew at every call.

        Returns:
            What was read, with something that fits in place of what is wrong; None if it cannot be read at all.
        """
        while True:
            try:
                return read()
            except _FieldFault as wrong:
                self.found.append(wrong.fault)
                if wrong.key in self.forgiven or not wrong.key[1]:
                    return None
                self.forgiven.add(wrong.key)
            except UsageError as problem:
                self.found.append(FileFault(place, str(problem)))
                return None
