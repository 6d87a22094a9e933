"""What a board of one day shows: what every station does, counts, stops, holds, what waits."""

from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class AtStation:
    """What one station does now."""

    station: str
    area: str
    name: str
    person: str
    """Who is signed on; empty text for nobody."""
    doing: str
    word: str
    """The big word of what it waits for: NEXT, or STOP where something is to be put right first."""
    waits_for: str
    """What it waits for, the instruction first."""
    count: str
    """How full the open carton of a line is; empty text without one."""
    is_busy: bool
    """True if something is open there: a job, a lot, a pallet, a shipment, an act that is not finished."""


@dataclass(frozen=True, slots=True)
class DayCount:
    """One number of the day."""

    area: str
    what: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Stop:
    """Why stations were stopped, how often, and the last time."""

    finding: str
    times: int
    at: str
    station: str
    sentence: str


@dataclass(frozen=True, slots=True)
class OpenHold:
    """A hold that is not lifted."""

    hold: str
    cause: str
    reason: str
    person: str
    things: int


@dataclass(frozen=True, slots=True)
class Looking:
    """An open investigation."""

    number: int
    subject: str
    difference: int | None
    reason: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """A lot with discs that nobody has released or rejected."""

    lot: str
    title: str
    piece: int
    status: str
    pressed: int
    samples: int
    judged: int
    bad: int


@dataclass(frozen=True, slots=True)
class Board:
    """One screen."""

    day: str
    area: str
    """tool, press, lab, line, dock, process, assembly, or all."""
    stations: tuple[AtStation, ...]
    counts: tuple[DayCount, ...]
    stops: tuple[Stop, ...]
    holds: tuple[OpenHold, ...]
    investigations: tuple[Looking, ...]
    waiting: tuple[Waiting, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout board --format json`."""
        return {
            name: list(value) if isinstance(value, tuple) else value for name, value in asdict(self).items()
        }
