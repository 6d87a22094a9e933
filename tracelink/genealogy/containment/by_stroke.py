"""Which discs of one cause are in question, by the strokes that it touched: before anything is followed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tracelink.genealogy.containment.given_evidence import judgements_for
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.scope import Tier
from tracelink.genealogy.containment.tiers import explained, tiers_of
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Axis, Closure, closure_of
from tracelink.genealogy.suspects.evidence import by_axis, judged_on
from tracelink.genealogy.suspects.narrow import Narrowed, narrow
from tracelink.genealogy.suspects.shape_of_cause import read_shape
from tracelink.ledger.count_words import kind_words, piece_words


@dataclass(frozen=True, slots=True)
class Suspected:
    """Which discs are in question, by strokes."""

    closure: Closure
    """What the cause touched."""
    judgements: Sequence[JudgementFact]
    """The evidence in use."""
    read_as: Shape
    """The shape for this kind of cause."""
    reasons: tuple[str, ...]
    """Sentences on how the shape was read."""
    narrowed: Sequence[Narrowed]
    """What the evidence shows on each axis."""
    tiers: Sequence[Tier]
    """By lot and first stroke."""
    untold: tuple[JudgementFact, ...]
    """Judgements of units with parts that the cause touched and parts that it did not; no evidence."""

    @property
    def tools(self) -> tuple[str, ...]:
        """The tools of the closure without the stampers that the judged discs clear, as far as they have pressed."""
        cleared = {
            axis.code
            for axis, result in zip(self.closure.axes, self.narrowed, strict=True)
            if result.parts and all(part.tier is TierName.CLEARED for part in result.parts)
        }
        cause = self.closure.cause
        return tuple(code for code in self.closure.tools if code == cause or code not in cleared)

    def of_lots(self, *names: TierName) -> dict[str, StrokeSet]:
        """Lot -> the strokes that are in tiers of these names."""
        return strokes_by_lot(self.tiers, *names)


def suspected(records: Records, query: ContainmentQuery) -> Suspected:
    """Find the discs in question of a cause that is followed by strokes.

    Args:
        records: the records.
        query: of which `way_of` says so.
    """
    closure = closure_of(records, query.cause)
    judgements, untold = judgements_for(records, query, query.cause, closure.lots, _touched(closure))
    read_as, reasons = read_shape(records, closure, query.shape)
    narrowed = [
        narrow(axis, read_as, judged_on(axis, near, query.defect), _window(records, axis, query.window))
        for axis, near in zip(closure.axes, by_axis(closure.axes, judgements), strict=True)
    ]
    tiers = explained(tiers_of(closure.axes, narrowed), (*closure.hoppers.carried, *closure.blended))
    if not tiers:
        reasons = [
            *reasons,
            f"{kind_words(closure.kind).capitalize()} {query.cause} is in the records, but touched no {piece_words(query.cause).one}.",
        ]
    return Suspected(closure, judgements, read_as, tuple(reasons), narrowed, tiers, untold)


def strokes_by_lot(tiers: Iterable[Tier], *names: TierName) -> dict[str, StrokeSet]:
    """Lot -> the strokes that are in tiers of these names."""
    found: dict[str, StrokeSet] = {}
    for tier in tiers:
        if tier.name in names:
            found[tier.lot] = found.get(tier.lot, NO_STROKES) | tier.strokes
    return found


def _touched(closure: Closure) -> Mapping[str, StrokeSet]:
    touched: dict[str, StrokeSet] = {}
    for axis in closure.axes:
        for stretch in axis.stretches:
            touched[stretch.lot] = touched.get(stretch.lot, NO_STROKES) | stretch.strokes
    return touched


def _window(records: Records, axis: Axis, window: tuple[int, int] | None) -> StrokeSet:
    if window is None:
        return NO_STROKES
    if axis.kind != "press":
        return StrokeSet.between(*window)
    found = NO_STROKES
    begun = sorted({segment.seq for segment in records.segments_with(axis.code)})
    for stretch in axis.stretches:
        # A segment runs until the next one on this press begins: nothing records its last stroke's time.
        end = next((seq for seq in begun if seq > stretch.seq), None)
        if stretch.seq <= window[1] and (end is None or end >= window[0]):
            found |= stretch.positions
    return found
