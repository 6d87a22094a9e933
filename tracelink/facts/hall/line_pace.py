"""How fast each station of the assembly line works, by the times of its entries."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class StationPace:
    """One kind of work at one station."""

    station: str
    name: str
    """What the station is called."""
    work: str
    """placing, joining, testing or packing."""
    pieces: int
    """Pieces it did in all; a piece that is tested again counts again, as it takes the time again."""
    timed: int
    """Those of which the time is known: done after another one, without a break between."""
    busy_s: int
    """Time from one entry to the next, without breaks."""

    @property
    def seconds_each(self) -> float | None:
        """Seconds for one piece; None if no time is known."""
        return self.busy_s / self.timed if self.timed else None

    @property
    def per_hour(self) -> float | None:
        """Pieces an hour; None if no time is known."""
        return 3600 * self.timed / self.busy_s if self.busy_s else None


@dataclass(frozen=True, slots=True)
class LinePace:
    """The stations along the line, in the order of the work."""

    stations: tuple[StationPace, ...]
    break_minutes: int
    """A longer time between two entries of a station counts as a break."""
    head: tuple[int, str]
    """The last entry looked at, and its hash."""

    @property
    def slowest(self) -> StationPace | None:
        """The station with the fewest pieces an hour; None if no time is known."""
        paced = [each for each in self.stations if each.per_hour is not None]
        return min(paced, key=lambda each: each.per_hour or 0.0, default=None)

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout pace --format json`."""
        slowest = self.slowest
        return {
            "stations": [
                {**asdict(each), "seconds_each": each.seconds_each, "per_hour": each.per_hour}
                for each in self.stations
            ],
            "slowest": None if slowest is None else {"station": slowest.station, "work": slowest.work},
            "break_minutes": self.break_minutes,
            "head": {"seq": self.head[0], "hash": self.head[1]},
        }
