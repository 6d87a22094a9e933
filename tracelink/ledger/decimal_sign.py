"""The sign before the decimals of a number that somebody types: a point or a comma, as the plant says."""

from __future__ import annotations

import re
from enum import Enum


class DecimalSign(Enum):
    """What stands before the decimals of a typed number: a setting of the plant.

    The other sign is never taken for this one: where it groups thousands, 1.250 and 1,250 are a thousand times apart.
    """

    POINT = "."
    COMMA = ","

    @property
    def other(self) -> DecimalSign:
        """The one that is not used here."""
        return DecimalSign.COMMA if self is DecimalSign.POINT else DecimalSign.POINT

    @property
    def word(self) -> str:
        """What it is called."""
        return self.name.lower()

    def number(self, typed: str) -> str | None:
        """Return a typed number as the journal keeps it; None if it is no number with this sign."""
        form = rf"[+-]?[0-9]{{1,9}}(?:{re.escape(self.value)}[0-9]{{1,6}})?"
        return self.with_point(typed) if re.fullmatch(form, typed) else None

    def with_point(self, typed: str) -> str:
        """Return a number that was typed with this sign as the journal keeps it."""
        return typed.replace(self.value, DecimalSign.POINT.value)

    def shown(self, number: str) -> str:
        """Return a number with a point as it is typed here."""
        return number.replace(DecimalSign.POINT.value, self.value)
