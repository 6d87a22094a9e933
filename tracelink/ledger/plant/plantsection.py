"""One table of a plant file, read field by field; a wrong field is named with its place."""

from collections.abc import Callable, Mapping
from typing import Any

from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.plantcode import CodeKind, PlantCode


class PlantSection:
    """One table of the file; every method that reads a field raises `UsageError` for a wrong one."""

    def __init__(self, where: str, fields: object) -> None:
        """Take a parsed table; `where` names it in a refusal."""
        if not isinstance(fields, Mapping):
            raise UsageError(f"{where}: expected a table, found {fields!r}")
        self.where = where
        self._fields = dict(fields)

    def text(self, name: str) -> str:
        """A text that must be there."""
        return str(self._take(name, str, "text"))

    def number(self, name: str, least: int = 0) -> int:
        """A whole number that must be there, `least` or more."""
        value = self._take(name, int, "a whole number")
        if isinstance(value, bool) or value < least:
            raise UsageError(f"{self.where}: {name} is {value}: expected a whole number of {least} or more")
        return int(value)

    def flag(self, name: str) -> bool:
        """True or false; false if it is not there."""
        return bool(self._take(name, bool, "true or false")) if name in self._fields else False

    def optional(self, name: str, read: Callable[[str], Any]) -> Any:
        """What `read` makes of a field; None if it is not there."""
        return read(name) if name in self._fields else None

    def code(self, name: str, kind: CodeKind) -> str:
        """A plant code of a kind, as canonical text."""
        text = self.text(name)
        try:
            code = PlantCode.parse(text)
        except IdentifierError as problem:
            raise UsageError(f"{self.where}: {name}: {problem}") from None
        if code.kind is not kind:
            raise UsageError(
                f"{self.where}: {name} is {text}: expected a {kind.noun}, found a {code.kind.noun}"
            )
        return code.text

    def gtin(self, name: str) -> str:
        """A product number as GTIN-13."""
        try:
            return Gtin.parse(self.text(name)).gtin13
        except IdentifierError as problem:
            raise UsageError(f"{self.where}: {name}: {problem}") from None

    def one_of(self, name: str, words: tuple[str, ...]) -> str:
        """One of these words."""
        value = self.text(name)
        if value not in words:
            raise UsageError(f"{self.where}: {name} is {value!r}: expected one of {', '.join(words)}")
        return value

    def many(self, name: str) -> list[Any]:
        """A list of tables or values; empty if it is not there."""
        value = self._fields.pop(name, [])
        if not isinstance(value, list):
            raise UsageError(f"{self.where}: {name}: expected a list, found {value!r}")
        return value

    def table(self, name: str) -> Mapping[str, Any]:
        """A table; empty if it is not there."""
        value = self._fields.pop(name, {})
        if not isinstance(value, Mapping):
            raise UsageError(f"{self.where}: {name}: expected a table, found {value!r}")
        return value

    def end(self) -> None:
        """Refuse fields that nobody asked for."""
        if self._fields:
            raise UsageError(f"{self.where}: unknown {', '.join(sorted(self._fields))}")

    def _take(self, name: str, kind: type, what: str) -> Any:
        if name not in self._fields:
            raise UsageError(f"{self.where}: {name} is missing: expected {what}")
        value = self._fields.pop(name)
        if not isinstance(value, kind):
            raise UsageError(f"{self.where}: {name} is {value!r}: expected {what}")
        return value
