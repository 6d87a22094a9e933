"""Several causes at once: what their judged discs prove and clear together.

A question is a list of clauses; a disc is affected if *every* clause holds for it, and a clause holds if *any* of
its lives affects the disc. A life is the axis of one stamper, press, lot ... with the shape of its fault. So "T or
C" is one clause of two lives, "T and C" two clauses of one life each.

What a life says about a disc, and what the question says then (- is "not made with it"):

    or         proven    possible  cleared   -            and        proven    possible  cleared   -
    proven     proven    proven    proven    proven       proven     proven    possible  cleared   -
    possible   proven    possible  possible  possible     possible   possible  possible  cleared   -
    cleared    proven    possible  cleared   cleared      cleared    cleared   cleared   cleared   -
    -          proven    possible  cleared   -            -          -         -         -         -

Unknown counts as possible and never as cleared. The table holds for what is known of each life; the judged discs
speak about the question, and from that follows less about each life than if it were asked about alone:

- A good disc is affected by nothing. Under *or* none of its lives had the fault there. Under *and* at least one
  had not, and nobody knows which: it clears only discs that would have made it bad themselves, that is those which
  lie before it (or with it) in every life that touches them.
- A bad disc is affected. If several lives of a clause touch it and none of them is cleared there, any may be at
  fault: it proves only the discs that lie after it (or with it) in all of those.

Both rules are sound for any question of this form: affected depends on the lives only through and and or, so more
fault never makes a disc good. tests/property/test_several.py tries every onset of small cases.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Axis

Discs = Mapping[str, StrokeSet]
"""Lot -> strokes."""

NONE: Discs = {}
"""No disc."""


@dataclass(frozen=True, slots=True)
class CauseAxis:
    """One axis of one cause."""

    cause: str
    """The code asked about."""
    axis: Axis
    """The axis."""
    shape: Shape
    """How the fault runs along it, as read for this kind of thing."""

    @property
    def touched(self) -> Discs:
        """Every disc on it."""
        return self._discs(self.axis.positions)

    def before(self, lot: str, stroke: int) -> Discs:
        """The discs that, if this life affects them, make it affect the given disc as well; with the disc itself."""
        return self._linked(lot, stroke, before=True)

    def after(self, lot: str, stroke: int) -> Discs:
        """The discs that this life affects if it affects the given one; with the disc itself."""
        return self._linked(lot, stroke, before=False)

    def _linked(self, lot: str, stroke: int, *, before: bool) -> Discs:
        position = self.axis.position(lot, stroke)
        if position is None:
            return NONE
        every = self.axis.positions
        if self.shape is Shape.WHOLE_LIFE:
            return self._discs(every)
        if self.shape is Shape.FROM_ONSET:
            first, last = (1, position) if before else (position, every.last)
            return self._discs(every & StrokeSet.between(first, last))
        return self._discs(StrokeSet.between(position, position))

    def _discs(self, positions: StrokeSet) -> Discs:
        found: dict[str, StrokeSet] = {}
        for lot, strokes in self.axis.lots(positions):
            found[lot] = found.get(lot, NO_STROKES) | strokes
        return found


class PlaceClause(StrEnum):
    """Whether the question has causes besides the lives, which are followed by place, and how they are joined."""

    NOTHING = "nothing"
    """All causes are lives."""
    OR = "or"
    """A bad disc may be theirs."""
    AND = "and"
    """A good disc may be good for want of them, and whether they touched a bad one is not known."""


@dataclass(slots=True)
class Combined:
    """What the judged discs say about a question."""

    touched: Discs
    """Discs that every clause touches."""
    proven: Discs = field(default_factory=dict)
    """Affected in every way that agrees with the judgements."""
    cleared: Discs = field(default_factory=dict)
    """Affected in none."""
    clearing: list[JudgementFact] = field(default_factory=list)
    """Good discs that cleared anything."""
    proving: list[JudgementFact] = field(default_factory=list)
    """Bad discs that proved anything."""
    contradiction: str | None = None
    """A sentence on judgements that agree with no fault of these shapes."""

    @property
    def possible(self) -> Discs:
        """The rest."""
        return without(without(self.touched, self.proven), self.cleared)

    def keep(self, lots: Container[str]) -> None:
        """Leave out the discs of all other lots."""
        for name in ("touched", "proven", "cleared"):
            discs: Discs = getattr(self, name)
            setattr(self, name, {lot: strokes for lot, strokes in discs.items() if lot in lots})


def combine(
    clauses: Sequence[Sequence[CauseAxis]],
    judged: Iterable[tuple[JudgementFact, bool]],
    beside: PlaceClause = PlaceClause.NOTHING,
) -> Combined:
    """Put judged discs and lives together.

    Args:
        clauses: each with at least one life.
        judged: judgements and whether each counts as good; those on discs that a clause does not touch are passed
            over, and a disc judged both good and bad counts as bad.
        beside: how causes that are followed by place are joined to the lives.
    """
    found = Combined(common(union(life.touched for life in clause) for clause in clauses))
    inside = [(one, good) for one, good in judged if one.stroke in found.touched.get(one.lot, NO_STROKES)]
    bads = {(one.lot, one.stroke): one for one, good in inside if not good}
    goods = {(one.lot, one.stroke): one for one, good in inside if good and (one.lot, one.stroke) not in bads}
    clean = [_clean(life, clauses, goods) for clause in clauses for life in clause]
    found.clearing = list(goods.values())
    if beside is PlaceClause.AND:
        found.cleared = union(_single(disc) for disc in goods)
        return found
    found.cleared = _cleared(found.touched, clauses, goods, clean)
    for disc, judgement in bads.items():
        proven = _single(disc) if beside is PlaceClause.OR else _proven(disc, clauses, clean)
        if proven is None or overlap(proven, found.cleared):
            return _contradicted(found, bads, goods, judgement)
        found.proven = union([found.proven, proven])
        found.proving.append(judgement)
    return found


Disc = tuple[str, int]


def _clean(
    life: CauseAxis, clauses: Sequence[Sequence[CauseAxis]], goods: Mapping[Disc, JudgementFact]
) -> Discs:
    """Discs that one life surely does not affect. Under *and* nobody can say that of any life."""
    return NONE if len(clauses) > 1 else union(life.before(*disc) for disc in goods)


def _cleared(
    touched: Discs,
    clauses: Sequence[Sequence[CauseAxis]],
    goods: Mapping[Disc, JudgementFact],
    clean: Sequence[Discs],
) -> Discs:
    lives = [life for clause in clauses for life in clause]
    if len(clauses) == 1:
        open_ = union(without(life.touched, clear) for life, clear in zip(lives, clean, strict=True))
        return without(touched, open_)
    return union(
        without(touched, union(without(life.touched, life.before(*disc)) for life in lives)) for disc in goods
    )


def _proven(disc: Disc, clauses: Sequence[Sequence[CauseAxis]], clean: Sequence[Discs]) -> Discs | None:
    """What a bad disc proves; None if every life that could be at fault is cleared there."""
    found: Discs | None = None
    number = 0
    for clause in clauses:
        at_fault = []
        for life in clause:
            lot, stroke = disc
            if life.axis.position(lot, stroke) is not None and stroke not in clean[number].get(
                lot, NO_STROKES
            ):
                at_fault.append(life)
            number += 1
        if not at_fault:
            return None
        for life in at_fault:
            after = life.after(*disc)
            found = after if found is None else common([found, after])
    return found


def _contradicted(
    found: Combined,
    bads: Mapping[Disc, JudgementFact],
    goods: Mapping[Disc, JudgementFact],
    judgement: JudgementFact,
) -> Combined:
    found.cleared = union(_single(disc) for disc in goods)
    found.proven = union(_single(disc) for disc in bads)
    found.proving = list(bads.values())
    found.contradiction = (
        f"Sample {judgement.sample} (lot {judgement.lot}, stroke {judgement.stroke}) was bad, but good discs leave no "
        f"cause that could have made it bad under these shapes. Each good disc clears only itself, each bad one proves only "
        f"itself."
    )
    return found


def _single(disc: Disc) -> Discs:
    lot, stroke = disc
    return {lot: StrokeSet.between(stroke, stroke)}


def union(parts: Iterable[Discs]) -> Discs:
    """Discs in any of the parts."""
    found: dict[str, StrokeSet] = {}
    for part in parts:
        for lot, strokes in part.items():
            found[lot] = found.get(lot, NO_STROKES) | strokes
    return found


def common(parts: Iterable[Discs]) -> Discs:
    """Discs in all of the parts; of none at all, none."""
    found: Discs | None = None
    for part in parts:
        if found is None:
            found = part
        else:
            found = {lot: strokes & part[lot] for lot, strokes in found.items() if lot in part}
    return {lot: strokes for lot, strokes in (found or NONE).items() if strokes}


def without(discs: Discs, less: Discs) -> Discs:
    """Discs in the first and not in the second."""
    rest = {lot: strokes - less.get(lot, NO_STROKES) for lot, strokes in discs.items()}
    return {lot: strokes for lot, strokes in rest.items() if strokes}


def overlap(left: Discs, right: Discs) -> bool:
    """Return whether any disc is in both."""
    return bool(common([left, right]))
