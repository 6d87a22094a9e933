"""Strokes of a lot that the lab draws: by a plan, every so many, and where a stamper began and ended."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

from tracelink.genealogy.model.facts import SegmentFact


class DrawReason(Enum):
    """Why a stroke is drawn."""

    FIRST_OFF = "first-off"
    """The first disc of a stamper on this press."""
    LAST_OFF = "last-off"
    """The last disc of a stamper before it came off."""
    AFTER_STOP = "after-stop"
    """The first disc after the lot went on, with the same stampers."""
    PLAN = "plan"
    """Drawn by the plan."""
    ONE_IN = "one-in"
    """One in so many."""


class DrawState(Enum):
    """How far the lab is with a stroke."""

    AHEAD = "ahead"
    """Not pressed yet."""
    OPEN = "open"
    """Pressed, and no sample of it is recorded."""
    DRAWN = "drawn"
    """A sample, not judged yet."""
    GOOD = "good"
    BAD = "bad"


@dataclass(frozen=True, slots=True)
class LabSample:
    """One sample of a lot with what was found."""

    tag: str
    """The sample tag."""
    stroke: int | None
    """The disc's stroke; None if nobody knows it."""
    good: bool | None
    """True if it was judged good, False if bad for anything, None if it was not judged."""
    defect: str | None = None
    """The defect that was found first."""


@dataclass(frozen=True, slots=True)
class ReasonToDraw:
    """One reason to draw a stroke."""

    why: DrawReason
    stamper: str | None = None
    """The stamper that began or ended there."""
    instead_of: int | None = None
    """The stroke that would be drawn, whose disc is not to be had."""


@dataclass(frozen=True, slots=True)
class StrokeToDraw:
    """One stroke that the lab draws."""

    stroke: int
    reasons: tuple[ReasonToDraw, ...]
    """Why; several where they fall together."""
    stampers: tuple[str, str] | None
    """The stampers that pressed it, A and B; None if it was not pressed yet."""
    state: DrawState
    sample: LabSample | None
    """The sample of this very disc."""

    @property
    def by_plan(self) -> bool:
        """True if the plan drew it, whatever else speaks for it: only these count against the numbers of the plan."""
        return any(reason.why is DrawReason.PLAN for reason in self.reasons)

    @property
    def is_judged(self) -> bool:
        """True if its sample was judged."""
        return self.state in {DrawState.GOOD, DrawState.BAD}


@dataclass(frozen=True, slots=True)
class LotRun:
    """How a lot was pressed so far."""

    segments: Sequence[SegmentFact]
    """By first stroke."""
    pressed: int
    """Discs pressed."""
    ended: bool
    """True if it was taken off its press."""
    missing: frozenset[int] = frozenset()
    """Strokes whose discs are not to be had: thrown out at set-up, or looked for and missed."""


def strokes_to_draw(
    run: LotRun, by_plan: Mapping[int, int | None], one_in: int | None, samples: Iterable[LabSample]
) -> tuple[StrokeToDraw, ...]:
    """Return every stroke to draw, in order.

    Args:
        run: how the lot was pressed.
        by_plan: strokes that a plan drew, each with the one that it stands in for, if that is not to be had.
        one_in: also every stroke that is a multiple of this; None for none.
        samples: the lab's samples of the lot.
    """
    wanted: dict[int, list[ReasonToDraw]] = {}
    for stroke, reason in _where_stampers_change(run):
        wanted.setdefault(stroke, []).append(reason)
    for stroke, instead_of in by_plan.items():
        wanted.setdefault(stroke, []).append(ReasonToDraw(DrawReason.PLAN, instead_of=instead_of))
    if one_in is not None:
        for stroke in range(one_in, run.pressed + 1, one_in):
            wanted.setdefault(stroke, []).append(ReasonToDraw(DrawReason.ONE_IN))
    there = {sample.stroke: sample for sample in samples if sample.stroke is not None}
    return tuple(_to_draw(run, stroke, wanted[stroke], there) for stroke in sorted(wanted))


def _to_draw(
    run: LotRun, stroke: int, reasons: Sequence[ReasonToDraw], there: Mapping[int, LabSample]
) -> StrokeToDraw:
    sample = there.get(stroke)
    pressed_by = next(
        ((each.stamper_a, each.stamper_b) for each in run.segments if each.first <= stroke <= each.last), None
    )
    return StrokeToDraw(stroke, tuple(reasons), pressed_by, _state(run, stroke, sample), sample)


def _state(run: LotRun, stroke: int, sample: LabSample | None) -> DrawState:
    if sample is None:
        return DrawState.OPEN if stroke <= run.pressed else DrawState.AHEAD
    if sample.good is None:
        return DrawState.DRAWN
    return DrawState.GOOD if sample.good else DrawState.BAD


def _where_stampers_change(run: LotRun) -> Iterator[tuple[int, ReasonToDraw]]:
    # A set-up that pressed nothing made no first disc.
    made = [each for each in run.segments if each.last >= each.first]
    if not made:
        return
    for stamper in _pair(made[0]):
        yield from _first_of(made[0], run, DrawReason.FIRST_OFF, stamper)
    for before, after in pairwise(made):
        gone, come = _unlike(before, after), _unlike(after, before)
        for stamper in gone:
            yield from _last_of(before, run, stamper)
        for stamper in come:
            yield from _first_of(after, run, DrawReason.FIRST_OFF, stamper)
        if not come and _materials(before) == _materials(after):
            yield from _first_of(after, run, DrawReason.AFTER_STOP, None)
    if run.ended:
        for stamper in _pair(made[-1]):
            yield from _last_of(made[-1], run, stamper)


def _first_of(
    segment: SegmentFact, run: LotRun, why: DrawReason, stamper: str | None
) -> Iterator[tuple[int, ReasonToDraw]]:
    """The first disc of a segment that is to be had."""
    yield from _end_of(range(segment.first, segment.last + 1), run, why, stamper)


def _last_of(segment: SegmentFact, run: LotRun, stamper: str) -> Iterator[tuple[int, ReasonToDraw]]:
    """The last disc of a segment that is to be had."""
    yield from _end_of(range(segment.last, segment.first - 1, -1), run, DrawReason.LAST_OFF, stamper)


def _end_of(
    strokes: range, run: LotRun, why: DrawReason, stamper: str | None
) -> Iterator[tuple[int, ReasonToDraw]]:
    stroke = next((each for each in strokes if each not in run.missing), None)
    if stroke is not None:
        yield stroke, ReasonToDraw(why, stamper, None if stroke == strokes[0] else strokes[0])


def _pair(segment: SegmentFact) -> tuple[str, str]:
    return segment.stamper_a, segment.stamper_b


def _unlike(segment: SegmentFact, other: SegmentFact) -> list[str]:
    return [mine for mine, theirs in zip(_pair(segment), _pair(other), strict=True) if mine != theirs]


def _materials(segment: SegmentFact) -> tuple[str, str, str]:
    return segment.compound, segment.label_a, segment.label_b
