"""Reading a TOML table strictly: every key known, present and of its type, or a sentence that says which is not."""

from collections.abc import Mapping
from typing import Any

from tracelink.errors import UsageError

_ABSENT = object()


class TomlTable:
    """One table of a TOML file. Take its keys one by one, then `close` it."""

    def __init__(self, content: Mapping[str, Any], place: str) -> None:
        self.place = place
        """Where the table stands, for sentences: file and part."""
        self._rest = dict(content)
        self._taken: list[str] = []

    def fail(self, key: str, expected: str, found: object) -> UsageError:
        """Return the error for a key whose value is not what was expected."""
        return UsageError(f"{self.place}: key {key!r} must be {expected}, found {found!r}.")

    def text(self, key: str, default: str | None = None) -> str:
        """Take a text of at least one character."""
        value = self._take(key, "a text", default)
        if not isinstance(value, str) or not value.strip():
            raise self.fail(key, "a text that is not empty", value)
        return value

    def choice(self, key: str, allowed: tuple[str, ...], default: str | None = None) -> str:
        """Take one of a set of words."""
        expected = "one of " + ", ".join(allowed)
        value = self._take(key, expected, default)
        if value not in allowed:
            raise self.fail(key, expected, value)
        return str(value)

    def length(self, key: str, default: float | None = None) -> float:
        """Take a length in millimetres, above 0 and at most 1000."""
        expected = "a length in mm, above 0 and at most 1000"
        value = self._take(key, expected, default)
        if not _is_number(value) or not 0 < value <= 1000:
            raise self.fail(key, expected, value)
        return float(value)

    def place_mm(self, key: str) -> tuple[float, float]:
        """Take a place [left, top] in millimetres."""
        expected = "a place [left, top] in mm, neither below 0"
        value = self._take(key, expected, None)
        if not (isinstance(value, list) and len(value) == 2 and all(_is_number(part) for part in value)):
            raise self.fail(key, expected, value)
        if min(value) < 0:
            raise self.fail(key, expected, value)
        return float(value[0]), float(value[1])

    def whole(self, key: str, least: int, most: int, default: int | None = None) -> int:
        """Take a whole number within limits."""
        expected = f"a whole number from {least} to {most}"
        value = self._take(key, expected, default)
        if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
            raise self.fail(key, expected, value)
        return value

    def flag(self, key: str, *, default: bool) -> bool:
        """Take true or false."""
        value = self._take(key, "true or false", default)
        if not isinstance(value, bool):
            raise self.fail(key, "true or false", value)
        return value

    def pairs(self, key: str) -> tuple[tuple[str, str], ...]:
        """Take a list of pairs of texts, at least one."""
        expected = 'a list of pairs of texts such as [["01", "{gtin:14}"]]'
        value = self._take(key, expected, None)
        if not (isinstance(value, list) and value and all(_is_pair(part) for part in value)):
            raise self.fail(key, expected, value)
        return tuple((first, second) for first, second in value)

    def texts(self, key: str) -> dict[str, str]:
        """Take a table of texts; an empty one if the key is absent."""
        value = self._take(key, f"a table [{key}] of texts", {})
        if not (isinstance(value, dict) and all(isinstance(part, str) and part for part in value.values())):
            raise self.fail(key, f"a table [{key}] of texts", value)
        return dict(value)

    def tables(self, key: str, name: str) -> list["TomlTable"]:
        """Take an array of tables; none at all if the key is absent. They are named name 1, name 2, ..."""
        value = self._take(key, f"a list of tables [[{key}]]", [])
        if not (isinstance(value, list) and all(isinstance(part, dict) for part in value)):
            raise self.fail(key, f"a list of tables [[{key}]]", value)
        return [
            TomlTable(part, f"{self.place}, {name} {number}") for number, part in enumerate(value, start=1)
        ]

    def named_tables(self, key: str, name: str) -> dict[str, "TomlTable"]:
        """Take a table of tables, by their names."""
        value = self._take(key, f"tables [{key}.NAME]", None)
        if not (isinstance(value, dict) and all(isinstance(part, dict) for part in value.values())):
            raise self.fail(key, f"tables [{key}.NAME]", value)
        return {part: TomlTable(content, f"{self.place}, {name} {part!r}") for part, content in value.items()}

    def has(self, key: str) -> bool:
        """Say whether the table still holds a key."""
        return key in self._rest

    def close(self) -> None:
        """Raise UsageError if a key was never taken: a mistyped key would otherwise do nothing in silence."""
        if self._rest:
            key = min(self._rest)
            known = ", ".join(sorted(self._taken))
            raise UsageError(f"{self.place}: key {key!r} is not known; expected only {known}.")

    def _take(self, key: str, expected: str, default: object) -> Any:
        self._taken.append(key)
        value = self._rest.pop(key, _ABSENT)
        if value is not _ABSENT:
            return value
        if default is None:
            raise UsageError(f"{self.place}: key {key!r} is missing; expected {expected}.")
        return default


def _is_number(value: object) -> bool:
    """Say whether a value is a number; TOML knows nan and inf, and Python takes true for 1."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < float("inf")


def _is_pair(value: object) -> bool:
    return (
        isinstance(value, list) and len(value) == 2 and all(isinstance(part, str) and part for part in value)
    )
