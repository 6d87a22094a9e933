"""From one cause to every disc it may have touched, and where those discs can be.

The steps: everything derived from the cause (closure.py), narrowed by judged discs along the cause's own life
(narrow.py), followed through movements (replay.py) into the places where the discs are now, with the least and
the most of them that each place can hold (bounds.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracelink.errors import UsageError
from tracelink.genealogy.containment.closure import Axis, Closure, closure_of
from tracelink.genealogy.containment.direct import DIRECT_KINDS, contain_directly
from tracelink.genealogy.containment.evidence import judged_on
from tracelink.genealogy.containment.gaps import came_back_loose, gaps_of
from tracelink.genealogy.containment.holdings import (
    StrokeHoldings,
    Whereabouts,
    back_loose,
    groups_of,
    lot_holdings,
    places_of,
)
from tracelink.genealogy.containment.level import Levels, level
from tracelink.genealogy.containment.lookat import Sibling
from tracelink.genealogy.containment.narrow import Narrowed, narrow
from tracelink.genealogy.containment.next_test import DEFAULT_TESTS, next_tests, wanted_of
from tracelink.genealogy.containment.retained import kept_by_stroke, kept_of_kind, untested_siblings
from tracelink.genealogy.containment.samples import shown_by
from tracelink.genealogy.containment.scope import ContainerBound, PlaceTotal, Scope, Tier, bounds_of
from tracelink.genealogy.containment.shape_of_cause import read_shape
from tracelink.genealogy.containment.tiers import explained, tiers_of
from tracelink.genealogy.containment.wanted_holds import HoldItem, holds_for, shipped_with
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.cause_kinds import node_of
from tracelink.genealogy.model.facts import STAMPER, JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet

__all__ = ["HoldItem", "Scope", "Shape", "bounds_of", "contain", "holds_for", "shipped_with"]


def contain(  # noqa: PLR0913, PLR0917 - each of the six is one thing a person says on the command line
    records: Records,
    cause: str,
    shape: Shape,
    evidence: Sequence[JudgementFact] | None = None,
    window: tuple[int, int] | None = None,
    defect: str | None = None,
    *,
    tests: int = DEFAULT_TESTS,
) -> Scope:
    """Scope a cause.

    Args:
        records: the records.
        cause: a tool, press, compound lot, label lot, lot, spindle, sample, carton, pallet, shipment or sleeve
            batch.
        shape: how the fault runs along the life of the cause; `reasons` of the result says how it was read for
            this kind of cause.
        evidence: the judgements to use; None uses all recorded for the lots of the cause.
        window: for `Shape.WINDOW` only: first and last stroke of the stamper's life or of the lot, or first and
            last journal sequence for a press.
        defect: the defect asked about; None counts a disc bad for any defect.
        tests: how many tests to name that would narrow the scope.

    Raises:
        UnknownCode: no record names the cause.
        UsageError: shape and window do not go together, or a window makes no sense for this kind of cause.
    """
    kind = node_of(records, cause).kind
    _check_window(kind, shape, window)
    if kind in DIRECT_KINDS:
        return contain_directly(records, cause, kind, shape, defect)
    closure = closure_of(records, cause)
    judgements = _judgements(records, closure) if evidence is None else list(evidence)
    read_as, reasons = read_shape(records, closure, shape)
    narrowed = [
        narrow(axis, read_as, judged_on(axis, judgements, defect), _window(records, axis, window))
        for axis in closure.axes
    ]
    tiers = explained(tiers_of(closure.axes, narrowed), closure.hoppers.carried)
    if not tiers:
        reasons = [*reasons, f"{kind.capitalize()} {cause} is in the records, but touched no disc."]
    placed = _placed(records, tiers)
    levels, siblings = _family(records, closure, judgements, defect)
    keep = kept_by_stroke if read_as is Shape.FROM_ONSET else kept_of_kind
    kept = keep(records, placed.holdings.histories, wanted_of(closure.axes, narrowed))
    conflicts = [text for held in placed.holdings.lots.values() for text in held.conflicts]
    return Scope(
        cause=cause,
        kind=kind,
        shape=shape,
        defect=defect,
        window=window,
        reasons=tuple(reasons),
        tiers=tuple(tiers),
        containers=placed.containers,
        groups=tuple(groups_of(placed.containers, placed.holdings, placed.whereabouts)),
        places=tuple(_places(placed)),
        contradictions=(*(text for one in narrowed for text in one.contradictions), *conflicts),
        gaps=(
            *closure.hoppers.gaps,
            *gaps_of(records, closure, judgements, defect),
            *_wide(placed),
            *came_back_loose(placed.holdings.lots),
            *placed.whereabouts.gaps,
        ),
        co_affected=tuple(lot for lot in placed.holdings.lots if lot != cause),
        suspects=_suspects(closure, narrowed),
        head=records.head(),
        holdings=placed.holdings,
        samples=shown_by(*_by_lot(tiers), judgements, defect),
        levels=levels,
        siblings=siblings,
        carried=closure.hoppers.carried,
        next_tests=next_tests(closure.axes, narrowed, read_as, kept, tests),
    )


def _places(placed: _Placed) -> list[PlaceTotal]:
    twice = back_loose(placed.holdings.histories.values())
    return places_of(placed.containers, placed.holdings, placed.total, twice)


def _check_window(kind: str, shape: Shape, window: tuple[int, int] | None) -> None:
    if window is None:
        if shape is Shape.WINDOW:
            raise UsageError(
                "--shape window asks between which two points: give --window FIRST-LAST, such as 400-520"
            )
        return
    if shape is not Shape.WINDOW:
        raise UsageError(
            f"--window {window[0]}-{window[1]} goes with --shape window only, found --shape {shape.value}"
        )
    if kind not in {STAMPER, "lot", "press"}:
        raise UsageError(f"a window needs a stamper, a lot or a press as its cause, found a {kind}")
    if not 1 <= window[0] <= window[1]:
        raise UsageError(f"window {window[0]} to {window[1]} is none: expected 1 <= first <= last")


def _judgements(records: Records, closure: Closure) -> list[JudgementFact]:
    return [judgement for lot in closure.lots for judgement in records.judgements_of(lot)]


def _family(
    records: Records, closure: Closure, judgements: Sequence[JudgementFact], defect: str | None
) -> tuple[Levels | None, tuple[Sibling, ...]]:
    """Which level carries the fault of a stamper, by the evidence in use and what is recorded of its relatives."""
    if closure.kind != STAMPER:
        return None, ()
    own = {lot: [judgement for judgement in judgements if judgement.lot == lot] for lot in closure.lots}

    def judgements_of(lot: str) -> Sequence[JudgementFact]:
        return own[lot] if lot in own else records.judgements_of(lot)

    levels = level(records, closure.cause, defect, judgements_of)
    return levels, untested_siblings(records, levels)


def _by_lot(tiers: Iterable[Tier]) -> tuple[dict[str, StrokeSet], dict[str, StrokeSet]]:
    """Lot -> touched strokes, and lot -> possible ones."""
    touched: dict[str, StrokeSet] = {}
    possible: dict[str, StrokeSet] = {}
    for tier in tiers:
        touched[tier.lot] = touched.get(tier.lot, NO_STROKES) | tier.strokes
        if tier.name is TierName.POSSIBLE:
            possible[tier.lot] = possible.get(tier.lot, NO_STROKES) | tier.strokes
    return touched, possible


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


@dataclass(frozen=True, slots=True)
class _Placed:
    """The discs in question, where they are."""

    holdings: StrokeHoldings
    whereabouts: Whereabouts
    containers: tuple[ContainerBound, ...]
    total: Bound


def _placed(records: Records, tiers: Sequence[Tier]) -> _Placed:
    lots = dict.fromkeys(tier.lot for tier in tiers if tier.name is not TierName.CLEARED)
    proven = {lot: _strokes(tiers, lot, TierName.PROVEN) for lot in lots}
    possible = {lot: _strokes(tiers, lot, TierName.POSSIBLE) for lot in lots}
    holdings = StrokeHoldings({lot: lot_holdings(records, lot, proven[lot], possible[lot]) for lot in lots})
    records.look_up(place for place, _lot in holdings.held())
    whereabouts = Whereabouts(records)
    holdings.unclaimed.update(place for place, _ in holdings.held() if whereabouts.is_unclaimed(place))
    containers = tuple(
        whereabouts.container(place, lot, holdings.of_lot(lot, [place])) for place, lot in holdings.held()
    )
    pieces = sum(len(held.history.pressed) for held in holdings.lots.values())
    least = sum(len(strokes) for strokes in proven.values())
    most = least + sum(len(strokes) for strokes in possible.values())
    return _Placed(holdings, whereabouts, containers, Bound(pieces, least, most, None, tight=True))


def _strokes(tiers: Iterable[Tier], lot: str, name: TierName) -> StrokeSet:
    found = NO_STROKES
    for tier in tiers:
        if tier.lot == lot and tier.name is name:
            found |= tier.strokes
    return found


def _suspects(closure: Closure, narrowed: Sequence[Narrowed]) -> tuple[str, ...]:
    """The tools of the closure without the stampers that the judged discs clear, as far as they have pressed."""
    cleared = {
        axis.code
        for axis, result in zip(closure.axes, narrowed, strict=True)
        if result.parts and all(part.tier is TierName.CLEARED for part in result.parts)
    }
    return tuple(code for code in closure.tools if code == closure.cause or code not in cleared)


def _wide(placed: _Placed) -> list[str]:
    """Say for which lots the bounds may be wider than the records force."""
    unclaimed = placed.holdings.unclaimed
    wide = dict.fromkeys(
        held.lot for held in placed.containers if not held.tight and held.code not in unclaimed
    )
    return [
        f"In lot {lot} movements conflict, or more is open than was worked out: the bounds hold, but may be wider than the "
        f"records force."
        for lot in wide
    ]
