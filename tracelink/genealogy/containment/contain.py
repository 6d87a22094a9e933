"""From a query to every disc its causes may have touched, and where those discs can be.

The steps: everything derived from the cause (closure.py), narrowed by judged discs along the cause's own life
(narrow.py), followed through movements (flow/follow.py) into the places where the discs are now, with the least and
the most of them that each place can hold (flow/pool_bounds.py, flow/exact.py). Several causes go through several.py,
causes that sit in the packing through direct.py; all of them come together in make_scope.py.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from tracelink.errors import UsageError
from tracelink.genealogy.containment.causes import CauseQuery, is_doer
from tracelink.genealogy.containment.direct import DIRECT_KINDS, contain_directly
from tracelink.genealogy.containment.gaps import came_back_loose, gaps_of
from tracelink.genealogy.containment.given_evidence import judgements_for
from tracelink.genealogy.containment.holdings import StrokeHoldings, back_loose, lot_holdings
from tracelink.genealogy.containment.make_scope import Found, Placed, make_scope, place_discs
from tracelink.genealogy.containment.next_test import next_tests, wanted_of
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.retained import kept_by_stroke, kept_of_kind, untested_siblings
from tracelink.genealogy.containment.scope import Scope, Tier
from tracelink.genealogy.containment.several import contain_several
from tracelink.genealogy.containment.tiers import explained, tiers_of
from tracelink.genealogy.flow.budget import Budget, no_limit
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.cause_kinds import node_of
from tracelink.genealogy.model.facts import STAMPER, JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.activity import Period
from tracelink.genealogy.suspects.closure import Axis, Closure, closure_of
from tracelink.genealogy.suspects.evidence import by_axis, judged_on
from tracelink.genealogy.suspects.level import Levels, level
from tracelink.genealogy.suspects.lookat import Sibling
from tracelink.genealogy.suspects.narrow import Narrowed, narrow
from tracelink.genealogy.suspects.samples import shown_by
from tracelink.genealogy.suspects.shape_of_cause import read_shape
from tracelink.ledger.times import require_period


def contain(records: Records, query: ContainmentQuery, budget: Budget | None = None) -> Scope:
    """Scope one or several causes.

    Args:
        records: the records.
        query: what is asked, with codes as the records write them; `reasons` of the result says how the shape was
            read for this kind of cause.
        budget: the time there is, of which the scope keeps the rest for its certificate; None for as much as it takes.

    Raises:
        UnknownCode: no record names a cause.
        UsageError: the query contradicts itself or the records: shape and window do not go together, evidence on a
            disc that the cause never touched, a defect that nobody found, a cause named twice.
    """
    budget = budget or no_limit()
    with budget:
        return _contain(records, query, budget)


def _contain(records: Records, query: ContainmentQuery, budget: Budget) -> Scope:
    _require_each_once(query)
    require_period(query.since, query.until)
    period = Period(query.since, query.until) if query.has_period else None
    alone = query.clauses == ((query.cause,),) and period is None
    if not alone or is_doer(records, query.cause, period) is not None:
        if query.window is not None:
            raise UsageError(
                "--window is for one stamper, lot or press; with several causes use --from and --to"
            )
        return contain_several(records, query, CauseQuery(query.clauses, period), budget)
    kind = node_of(records, query.cause).kind
    _check_window(kind, query.shape, query.window)
    if kind in DIRECT_KINDS:
        return contain_directly(records, query, kind)
    return _contain_by_stroke(records, query, budget)


def _contain_by_stroke(records: Records, query: ContainmentQuery, budget: Budget) -> Scope:
    closure = closure_of(records, query.cause)
    judgements = judgements_for(records, query, query.cause, closure.lots, _touched(closure))
    read_as, reasons = read_shape(records, closure, query.shape)
    narrowed = [
        narrow(axis, read_as, judged_on(axis, near, query.defect), _window(records, axis, query.window))
        for axis, near in zip(closure.axes, by_axis(closure.axes, judgements), strict=True)
    ]
    tiers = explained(tiers_of(closure.axes, narrowed), closure.hoppers.carried)
    if not tiers:
        reasons = [
            *reasons,
            f"{closure.kind.capitalize()} {query.cause} is in the records, but touched no disc.",
        ]
    holdings, total = _followed(records, tiers, budget)
    placed = place_discs(records, holdings)
    levels, siblings = _family(records, closure, judgements, query.defect)
    keep = kept_by_stroke if read_as is Shape.FROM_ONSET else kept_of_kind
    kept = keep(records, holdings.histories, wanted_of(closure.axes, narrowed))
    conflicts = [text for held in holdings.lots.values() for text in held.conflicts]
    found = Found(
        cause=query.cause,
        kind=closure.kind,
        reasons=tuple(reasons),
        total=total,
        holdings=holdings,
        tiers=tuple(tiers),
        twice=back_loose(holdings.histories.values()),
        contradictions=(*(text for one in narrowed for text in one.contradictions), *conflicts),
        gaps=(
            *closure.hoppers.gaps,
            *gaps_of(records, closure, judgements, query.defect),
            *_wide(placed, holdings.unclaimed),
            *came_back_loose(holdings.lots),
        ),
        co_affected=tuple(lot for lot in holdings.lots if lot != query.cause),
        suspects=_suspects(closure, narrowed),
        evidence=tuple(judgements),
        samples=shown_by(
            _by_lot(tiers, *TierName), _by_lot(tiers, TierName.POSSIBLE), judgements, query.defect
        ),
        levels=levels,
        siblings=siblings,
        carried=closure.hoppers.carried,
        next_tests=next_tests(closure.axes, narrowed, read_as, kept, query.next_tests),
        axes=closure.axes,
        budget=budget,
    )
    return make_scope(records, query, placed, found)


def _require_each_once(query: ContainmentQuery) -> None:
    twice = sorted({code for code in query.codes if query.codes.count(code) > 1})
    if twice:
        raise UsageError(f"{', '.join(twice)} is named twice: expected each cause once")


def _touched(closure: Closure) -> Mapping[str, StrokeSet]:
    touched: dict[str, StrokeSet] = {}
    for axis in closure.axes:
        for stretch in axis.stretches:
            touched[stretch.lot] = touched.get(stretch.lot, NO_STROKES) | stretch.strokes
    return touched


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
        raise UsageError(f"window {window[0]} to {window[1]}: expected 1 <= first <= last")


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


def _by_lot(tiers: Iterable[Tier], *names: TierName) -> dict[str, StrokeSet]:
    """Lot -> the strokes that are in tiers of these names."""
    found: dict[str, StrokeSet] = {}
    for tier in tiers:
        if tier.name in names:
            found[tier.lot] = found.get(tier.lot, NO_STROKES) | tier.strokes
    return found


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


def _followed(records: Records, tiers: Sequence[Tier], budget: Budget) -> tuple[StrokeHoldings, Bound]:
    """Follow the lots that have discs in question; and all of their discs together."""
    lots = dict.fromkeys(tier.lot for tier in tiers if tier.name is not TierName.CLEARED)
    proven, possible = _by_lot(tiers, TierName.PROVEN), _by_lot(tiers, TierName.POSSIBLE)
    holdings = StrokeHoldings(
        {
            lot: lot_holdings(
                records, lot, proven.get(lot, NO_STROKES), possible.get(lot, NO_STROKES), budget
            )
            for lot in lots
        }
    )
    pieces = sum(len(held.history.pressed) for held in holdings.lots.values())
    least = sum(len(strokes) for strokes in proven.values())
    most = least + sum(len(strokes) for strokes in possible.values())
    return holdings, Bound(pieces, least, most, None, tight=True)


def _suspects(closure: Closure, narrowed: Sequence[Narrowed]) -> tuple[str, ...]:
    """The tools of the closure without the stampers that the judged discs clear, as far as they have pressed."""
    cleared = {
        axis.code
        for axis, result in zip(closure.axes, narrowed, strict=True)
        if result.parts and all(part.tier is TierName.CLEARED for part in result.parts)
    }
    return tuple(code for code in closure.tools if code == closure.cause or code not in cleared)


def _wide(placed: Placed, unclaimed: set[str]) -> list[str]:
    """Say for which lots the bounds may be wider than the records force."""
    wide = dict.fromkeys(
        held.lot for held in placed.containers if not held.tight and held.code not in unclaimed
    )
    return [
        f"In lot {lot} movements conflict, or more is open than was worked out: the bounds hold, but may be wider than the "
        f"records force."
        for lot in wide
    ]
