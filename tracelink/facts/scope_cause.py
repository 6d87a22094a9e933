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
    """Plant code of the sample tag; `not recorded` for one that was given with the question."""
    lot: str
    """Plant code of the lot."""
    stroke: int
    """Stroke in the lot, from 1."""
    life: str
    """Code of the thing whose life `position` counts in."""
    position: int
    """Stroke in that life, from 1."""
    good: bool
    """True if it counts as good."""
    defect: str
    """The defect found or looked for; empty if none was named."""
    entry: int
    """Journal sequence of the judgement; the last entry looked at for one that was given with the question."""
    drawn_at: str
    """Event time of the drawing, RFC 3339 with offset; empty if not recorded."""
    judged_at: str
    """Event time of the judgement, RFC 3339 with offset; empty if not recorded."""
    judged_by: str
    """Name of the person; empty if not recorded."""
    measured: str
    """Measured values with units; empty if there are none."""


@dataclass(frozen=True, slots=True)
class Trigger:
    """What was asked about, and on which evidence."""

    cause: str
    """Code asked about."""
    kind: str
    """Kind of thing, such as `stamper`."""
    facts: tuple[tuple[str, str], ...]
    """Name and value pairs by which the thing is recognised."""
    shape: Shape
    """Shape of the fault, as asked."""
    window: tuple[int, int] | None
    """First and last position of the window asked about, from 1; None for other shapes."""
    defect: str | None
    """The defect asked about; None for any."""
    reasons: tuple[str, ...]
    """Sentences on how the shape was read for this kind of cause."""
    suspects: tuple[str, ...]
    """Codes of the tools affected, or possibly affected."""
    lots: tuple[str, ...]
    """Codes of the lots touched."""
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
    """Sentence on where the evidence points, or why levels were not compared."""
    missing: tuple[str, ...]
    """Sentences, one per untested stamper: the disc whose test would tell."""


@dataclass(frozen=True, slots=True)
class SuspectEdge:
    """One end of the suspect stretch: the judged disc it rests on."""

    evidence: JudgedDisc
    """The judged disc."""
    stacked_at: str
    """Event time of taking its stack from the press, RFC 3339 with offset; empty if not recorded."""
    may_be_in: tuple[str, ...]
    """Codes of the places where the next disc on the suspect side may be now."""


@dataclass(frozen=True, slots=True)
class Boundary:
    """Where the suspect stretch of one life begins and ends."""

    kind: str
    """Kind of the thing whose life it is, such as `stamper`."""
    code: str
    """Code of that thing."""
    first: int
    """First position of the life in the records, from 1."""
    last: int
    """Last position of the life in the records."""
    last_good: SuspectEdge | None
    """The last good disc before the first bad one."""
    first_bad: SuspectEdge | None
    """The first bad disc."""
    why: str
    """Sentence on why the boundary lies there."""
    widens: tuple[str, ...]
    """Sentences on what widens it if a judgement or the shape is doubted."""


@dataclass(frozen=True, slots=True)
class TierLine:
    """Strokes of a lot that share a degree of suspicion."""

    name: TierName
    """proven, possible or cleared."""
    lot: str
    """Plant code of the lot."""
    strokes: StrokeSet
    """Strokes of the lot in this tier."""
    discs: int
    """Discs, 1 or more."""
    reason: str
    """Sentence on why they are in this tier."""


@dataclass(frozen=True, slots=True)
class TestLine:
    """One disc whose test would narrow the scope."""

    lot: str
    """Plant code of the lot."""
    stroke: int | None
    """Stroke in the lot, from 1; None if any disc there does."""
    place: str
    """Code of the place where the disc is."""
    kind: str
    """Kind of that place."""
    stands_in: tuple[str, ...]
    """Codes of what the place stands in, from the innermost to the outermost."""
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
    """Sentences, one per lot: at most how many are bad, and with what confidence."""
    caution: str
    """Sentence on what that does not show; empty if nothing is shown."""
    ranking: str
    """Sentence on how the tests are ranked, or why none is; empty for a cause followed by place."""
    tests: tuple[TestLine, ...]
    """The tests that would narrow the scope most, the best first."""
