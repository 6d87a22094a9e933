"""What the lab's judgements say about the life of a cause."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.closure import Axis


@dataclass(frozen=True, slots=True)
class Judged:
    """One judged disc on an axis."""

    position: int
    """Its position on the axis."""
    good: bool
    """True if it counts as good."""
    judgement: JudgementFact
    """The judgement."""

    def __str__(self) -> str:
        fact = self.judgement
        return f"sample {fact.sample} (lot {fact.lot}, stroke {fact.stroke})"


def counts_as(judgement: JudgementFact, defect: str | None) -> bool | None:
    """Whether a judgement counts as good or bad when a defect is asked about; None if it says nothing.

    A disc that was bad for another defect says nothing: nobody recorded that it was free of this one. A bad
    disc without a named defect may well have had this one, so it counts as bad.

    Args:
        judgement: what the lab recorded.
        defect: the defect asked about; None asks about any.
    """
    named = judgement.defect
    if defect is None or named in (None, defect):
        return judgement.good
    return None


def by_axis(axes: Iterable[Axis], judgements: Iterable[JudgementFact]) -> Iterator[list[JudgementFact]]:
    """Yield for each axis the judgements on discs of its lots, in the order given.

    A lacquer has thousands of stampers and tens of thousands of judged discs: each axis is to look at its own only.
    """
    by_lot: dict[str, list[tuple[int, JudgementFact]]] = {}
    for number, judgement in enumerate(judgements):
        by_lot.setdefault(judgement.lot, []).append((number, judgement))
    for axis in axes:
        lots = dict.fromkeys(stretch.lot for stretch in axis.stretches)
        found = [numbered for lot in lots for numbered in by_lot.get(lot, ())]
        yield [judgement for _number, judgement in sorted(found, key=lambda numbered: numbered[0])]


def judged_on(axis: Axis, judgements: Iterable[JudgementFact], defect: str | None) -> list[Judged]:
    """The judgements that speak about an axis, by position.

    Where one disc was judged both good and bad, both are returned; `narrow` lets the bad one count.
    """
    found: list[Judged] = []
    for judgement in judgements:
        good = counts_as(judgement, defect)
        position = axis.position(judgement.lot, judgement.stroke)
        if good is not None and position is not None:
            found.append(Judged(position, good, judgement))
    return sorted(found, key=lambda tested: (tested.position, tested.judgement.seq))


@dataclass(frozen=True, slots=True)
class Bracket:
    """Bad results and the good ones on either side of them."""

    last_good: int | None
    """The good position before; None if there is none."""
    first_bad: int
    """The first bad position."""
    last_bad: int
    """The last bad position before the next good one."""
    next_good: int | None
    """The good position after; None if there is none."""
    suspect: StrokeSet
    """Everything between the two good ones, without them."""


def brackets(first: int, last: int, tested: Sequence[tuple[int, bool]]) -> list[Bracket]:
    """The stretches between good results that hold bad ones.

    Args:
        first: first position, 1 or more.
        last: last position.
        tested: (position, good) pairs in ascending order of position, each position once.
    """
    found: list[Bracket] = []
    last_good: int | None = None
    bads: list[int] = []
    for position, good in (*tested, (last + 1, True)):
        if not good:
            bads.append(position)
            continue
        if bads:
            after = position if position <= last else None
            since = first if last_good is None else last_good + 1
            suspect = StrokeSet.between(since, position - 1)
            found.append(Bracket(last_good, bads[0], bads[-1], after, suspect))
        last_good, bads = position, []
    return found


def pass_by_chance(fault_rate: float, pieces: int) -> float:
    """The chance that a check of some discs finds nothing in a stretch where a part of the discs is bad.

    Args:
        fault_rate: share of bad discs in the stretch, 0 to 1.
        pieces: discs looked at, 1 or more.
    """
    return (1.0 - fault_rate) ** pieces
