"""Discs that somebody should look at next, as facts."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.genealogy.model.strokes import StrokeSet


@dataclass(frozen=True, slots=True)
class FetchableDiscs:
    """Discs of one lot in one place in the plant, any of which can be fetched."""

    lot: str
    """The lot."""
    strokes: StrokeSet
    """The discs there, or those that may be there; not empty."""
    place: str
    """Code of the place."""
    kind: str
    """What it is: sample, spindle, carton."""
    status: str
    """Its status in the records."""
    parents: tuple[str, ...]
    """What it stands in, from the inside out."""
    known: bool
    """True if each can be fetched by its stroke; else which of them a hand takes is left to chance."""


@dataclass(frozen=True, slots=True)
class NextTest:
    """One disc that can be looked at, and what that would leave in question."""

    lot: str
    """Its lot."""
    stroke: int | None
    """Its stroke; None if any disc of the place will do."""
    place: str
    """Code of the thing that holds the disc."""
    kind: str
    """What that is: a sample tag, a spindle, a carton."""
    status: str
    """The place's status in the records."""
    parents: tuple[str, ...]
    """What the place stands in, from the inside out."""
    axis: str
    """The thing whose life the disc would speak about."""
    if_good: int
    """Discs of that thing still possible if the disc is good."""
    if_bad: int
    """Discs of that thing still possible if it is bad."""
    expected: float
    """Discs still possible on average, under the prior that the tests state."""
    reduction: float
    """Discs fewer than now on average."""


@dataclass(frozen=True, slots=True)
class NextTests:
    """The discs whose test would shrink the possible set most."""

    sentence: str
    """What the ranking rests on, or why there is none."""
    tests: tuple[NextTest, ...]
    """The best first."""


NO_TESTS = NextTests("", ())
"""For causes that are followed by place: there a disc is tested where it lies."""


@dataclass(frozen=True, slots=True)
class Sibling:
    """A stamper of the family that no judged disc speaks for, and a disc that could."""

    stamper: str
    """The stamper."""
    kept: FetchableDiscs | None
    """Where a disc of it is; None if the records know none in the plant by its stroke."""

    @property
    def stroke(self) -> int | None:
        """The disc's stroke in its lot; None if any disc of the place will do, or there is none."""
        return self.kept.strokes.first if self.kept is not None and self.kept.known else None
