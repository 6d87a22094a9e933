"""The parts of a scope document on the cause: trigger, level, boundaries, tiers, what samples show."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.level import Level


@dataclass(frozen=True, slots=True)
class JudgedDisc:
    """One judged disc that speaks about the cause."""

    sample: str
    """The sample tag; `not recorded` for one that was given with the question."""
    lot: str
    """The lot of the disc."""
    stroke: int
    """Its stroke in the lot."""
    life: str
    """Whose life `position` counts in."""
    position: int
    """Its stroke in that life."""
    good: bool
    """Whether it counts as good."""
    defect: str
    """The defect found or looked for; empty if none was named."""
    entry: int
    """Journal entry of the judgement; the data cut-off for one that was given with the question."""
    drawn_at: str
    """When the disc was drawn, local time; empty if not recorded."""
    judged_at: str
    """When it was judged, local time; empty if not recorded."""
    judged_by: str
    """Who judged it; empty if not recorded."""
    measured: str
    """Measured values with units; empty if there are none."""


@dataclass(frozen=True, slots=True)
class Trigger:
    """What was asked about, and on which evidence."""

    cause: str
    """The code asked about."""
    kind: str
    """What it is."""
    facts: tuple[tuple[str, str], ...]
    """What helps to know it again: (name, value)."""
    shape: Shape
    """How the fault was said to run."""
    window: tuple[int, int] | None
    """The window given."""
    defect: str | None
    """The defect asked about; None for any."""
    reasons: tuple[str, ...]
    """How the shape was read for this kind of cause."""
    suspects: tuple[str, ...]
    """Tools that carry it or may."""
    lots: tuple[str, ...]
    """Lots touched."""
    evidence: tuple[JudgedDisc, ...]
    """The judged discs, along the life."""
    first_bad: JudgedDisc | None
    """The bad judgement that was recorded first: who found it, and when."""


@dataclass(frozen=True, slots=True)
class FaultLevels:
    """Which level carries the fault."""

    lines: tuple[Level, ...]
    """From the stamper to its master; empty if levels were not compared."""
    sentence: str
    """Where the evidence points, or why levels were not compared."""
    missing: tuple[str, ...]
    """Which disc of each untested stamper would tell, as sentences."""


@dataclass(frozen=True, slots=True)
class SuspectEdge:
    """One end of the suspect stretch: the judged disc it rests on."""

    evidence: JudgedDisc
    """The judged disc."""
    stacked_at: str
    """When its stack was taken from the press, local time; empty if not recorded."""
    may_be_in: tuple[str, ...]
    """Where the disc next to it, on the suspect side, may be now."""


@dataclass(frozen=True, slots=True)
class Boundary:
    """Where the suspect stretch of one life begins and ends."""

    kind: str
    """Of what."""
    code: str
    """Whose life."""
    first: int
    """First position of the life in the records."""
    last: int
    """Last position."""
    last_good: SuspectEdge | None
    """The last good disc before the first bad one."""
    first_bad: SuspectEdge | None
    """The first bad disc."""
    why: str
    """Why the boundary lies there, as a sentence."""
    widens: tuple[str, ...]
    """What widens it if a judgement or the shape is doubted, as sentences."""


@dataclass(frozen=True, slots=True)
class TierLine:
    """Strokes of a lot that share a degree of suspicion."""

    name: TierName
    """proven, possible or cleared."""
    lot: str
    """The lot."""
    strokes: StrokeSet
    """The strokes."""
    discs: int
    """How many."""
    reason: str
    """Why."""


@dataclass(frozen=True, slots=True)
class TestLine:
    """One disc whose test would narrow the scope."""

    lot: str
    """Its lot."""
    stroke: int | None
    """Its stroke; None if any disc there does."""
    place: str
    """Where it is."""
    kind: str
    """What that is."""
    stands_in: tuple[str, ...]
    """From the inside out."""
    if_good: int
    """Possible discs left if it is good."""
    if_bad: int
    """Possible discs left if it is bad."""
    expected: float
    """Possible discs left on average."""


@dataclass(frozen=True, slots=True)
class Samples:
    """What the judged discs show about the others, and which disc to judge next."""

    shown: tuple[str, ...]
    """With what confidence how many are bad at most, lot by lot."""
    caution: str
    """What that does not show; empty if nothing is shown."""
    ranking: str
    """How the tests are ranked, or why none is; empty for a cause that is followed by place."""
    tests: tuple[TestLine, ...]
    """The tests that would narrow the scope most, the best first."""
