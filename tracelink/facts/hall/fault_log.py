"""Faults that tests of built pieces found."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any


class FaultBy(StrEnum):
    """What faults are counted by."""

    POSITION = "position"
    """Part number of the piece and position of the fault on it."""
    SYMPTOM = "symptom"
    STATION = "station"
    PART = "part"
    """Part number of the piece."""
    PROGRAMME = "programme"


@dataclass(frozen=True, slots=True)
class FaultsAsked:
    """Which tests are looked at."""

    part: str | None = None
    """Only of pieces of this part number."""
    station: str | None = None
    """Only at this station."""
    since: str | None = None
    """Only at this time or later, RFC 3339 with offset."""
    until: str | None = None
    """Only at this time or earlier."""


@dataclass(frozen=True, slots=True)
class FaultFound:
    """One failed test."""

    entry: int
    at: str
    """When, RFC 3339 with offset."""
    piece: str
    """Its serial label."""
    part: str
    station: str
    programme: str
    symptom: str
    position: str
    """Where on the piece; empty if nobody knew."""
    repaired: bool
    """True if the piece passed a test later."""


@dataclass(frozen=True, slots=True)
class FaultRise:
    """Where a fault became more frequent, and what changed there."""

    after: str
    """The last piece tested before the rise."""
    first: str
    """The first piece tested after it."""
    chance: float
    """Exact chance of a rise as strong in a random order of the same pieces, corrected for the number of positions."""
    faults_since: int
    tested_since: int
    faults_before: int
    tested_before: int
    look_at: tuple[str, ...]
    """What the pieces since then were made of, and those before mostly not; what explains it best first."""


@dataclass(frozen=True, slots=True)
class FaultCount:
    """Faults of one kind."""

    what: str
    """What they have in common."""
    faults: int
    pieces: int
    """Different pieces among them."""
    share: float
    """Of all faults, 0 to 1."""
    running: float
    """The same with all kinds that are more frequent."""
    open: int
    """Pieces that have not passed a test since."""
    rise: FaultRise | None
    """Where it became more frequent; None if it did not, or is not counted by position."""


@dataclass(frozen=True, slots=True)
class FaultLog:
    """The log of faults, and what is most frequent in it."""

    by: FaultBy
    tested: int
    """Tests in the same period, of the same pieces and station."""
    faults: tuple[FaultFound, ...]
    """Newest first."""
    counts: tuple[FaultCount, ...]
    """The most frequent first."""
    head: tuple[int, str]
    """The last entry looked at, and its hash."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout faults --format json`."""
        return {
            "by": self.by.value,
            "tested": self.tested,
            "faults": [asdict(each) for each in self.faults],
            "counts": [asdict(each) for each in self.counts],
            "head": {"seq": self.head[0], "hash": self.head[1]},
        }
