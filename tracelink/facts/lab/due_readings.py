"""Readings of slow tests that are to be taken."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class DueReading:
    """One reading of one sample that nobody took yet."""

    sample: str
    """Its tag; of a built piece its serial label."""
    lot: str
    """Of a built piece its build order."""
    stroke: int | None
    """Of a built piece its number in the order. None if nobody knows it."""
    slow_test: str
    reading: str
    """After what, such as 50 hours played."""
    due: str
    """Local day, YYYY-MM-DD."""
    days_late: int
    """Days since then; less than 0 while it lies ahead."""
    what: str
    """Title of the disc; part number and name of a built piece."""


@dataclass(frozen=True, slots=True)
class DueReadings:
    """All readings that were not taken, by the day on which they are due."""

    day: str
    """The local day on which this is asked."""
    readings: tuple[DueReading, ...]

    @property
    def late(self) -> int:
        """How many are due, today or before."""
        return sum(each.days_late >= 0 for each in self.readings)

    def to_dict(self) -> list[dict[str, Any]]:
        """Return the same data as `runout samples --due --format json`."""
        return [asdict(each) for each in self.readings]
