"""Every scan of a station is somewhere: sealed beside an entry, or waiting in the spool.

Stations number their scans 1, 2, 3, ... without gaps. An entry may seal a scan while older ones still wait, so
what is missing is known only at the end; until then no more is remembered than what waits.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

_FAR: Final = 100_000
"""More scans than this never wait at one station; a number that far ahead is a damaged one."""


@dataclass(slots=True)
class _Station:
    highest: int = 0
    open: set[int] = field(default_factory=set)
    """Numbers up to the highest that were not seen yet."""


class ScanCount:
    """Counts off the scans of all stations."""

    def __init__(self) -> None:
        """Begin with none."""
        self._stations: dict[str, _Station] = {}
        self._twice: list[str] = []

    def seen(self, station: str, number: int) -> None:
        """Count one scan, sealed or in the spool."""
        at = self._stations.setdefault(station, _Station())
        if number > at.highest + _FAR:
            self._twice.append(
                f"station {station}: scan {number} is far beyond scan {at.highest}, the one before"
            )
        elif number > at.highest:
            at.open.update(range(at.highest + 1, number))
            at.highest = number
        elif number in at.open:
            at.open.remove(number)
        else:
            self._twice.append(f"station {station}: scan {number} is there twice")

    def seen_all(self, station: str, numbers: Sequence[int]) -> None:
        """Count the scans of one entry."""
        at = self._stations.get(station)
        if at is not None and numbers and numbers[0] == at.highest + 1:
            last = at.highest + len(numbers)
            if numbers[-1] == last and numbers == list(range(numbers[0], last + 1)):
                at.highest = last
                return
        for number in numbers:
            self.seen(station, number)

    def sentences(self, station: str, last: int) -> Iterator[str]:
        """Yield what is missing at a station.

        Args:
            station: its code.
            last: number of its last scan.
        """
        at = self._stations.get(station, _Station())
        for number in sorted({*at.open, *range(at.highest + 1, min(last, at.highest + _FAR) + 1)}):
            yield f"station {station}: scan {number} is neither sealed in an entry nor in the spool"

    def doubled(self) -> list[str]:
        """Return what was counted twice."""
        return self._twice
