"""From a query to every disc its causes may have touched, and where those discs can be.

The steps: everything derived from the cause (closure.py), narrowed by judged discs along the cause's own life
(narrow.py), followed through movements (flow/follow.py) into the places where the discs are now, with the least and
the most of them that each place can hold (flow/pool_bounds.py, flow/exact.py). Several causes go through several.py,
causes that sit in the packing through direct.py; all of them come together in make_scope.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum, auto

from tracelink.errors import UsageError
from tracelink.genealogy.containment.by_stroke import strokes_by_lot, suspected
from tracelink.genealogy.containment.causes import CauseQuery, is_followed_by_acts
from tracelink.genealogy.containment.direct import DIRECT_KINDS, contain_directly
from tracelink.genealogy.containment.gaps import came_back_loose, gaps_of
from tracelink.genealogy.containment.holdings import StrokeHoldings, back_loose, follow_lots
from tracelink.genealogy.containment.make_scope import Found, Placed, make_scope, place_discs
from tracelink.genealogy.containment.next_test import next_tests, wanted_of
from tracelink.genealogy.containment.pieces_affected import told_of_parts
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.retained import kept_by_stroke, kept_of_kind, untested_siblings
from tracelink.genealogy.containment.scope import Scope, Tier
from tracelink.genealogy.containment.several import contain_several
from tracelink.genealogy.flow.budget import Budget, no_limit
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.cause_kinds import node_of
from tracelink.genealogy.model.facts import STAMPER, JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.suspects.activity import Period
from tracelink.genealogy.suspects.closure import Closure
from tracelink.genealogy.suspects.level import Levels, level
from tracelink.genealogy.suspects.lookat import Sibling
from tracelink.genealogy.suspects.samples import shown_by
from tracelink.ledger.count_words import piece_words
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
    way = way_of(records, query)
    if way is ContainmentWay.SEVERAL:
        return contain_several(records, query, CauseQuery(query.clauses, _period(query)), budget)
    if way is ContainmentWay.DIRECT:
        return contain_directly(records, query, node_of(records, query.cause).kind)
    return _contain_by_stroke(records, query, budget)


class ContainmentWay(Enum):
    """How a question is answered."""

    SEVERAL = auto()
    """Causes together, or what was done at a station or by a person."""
    DIRECT = auto()
    """By the packing: a carton and what is built of cartons."""
    BY_STROKE = auto()
    """By the strokes that one cause touched."""


def way_of(records: Records, query: ContainmentQuery) -> ContainmentWay:
    """Return how a question is answered.

    Raises:
        UnknownCode, UsageError: as `contain`.
    """
    _require_each_once(query)
    require_period(query.since, query.until)
    period = _period(query)
    alone = query.clauses == ((query.cause,),) and period is None
    if not alone or is_followed_by_acts(records, query.cause, period):
        if query.window is not None:
            raise UsageError(
                "--window is for one stamper, lot or press; with several causes use --from and --to"
            )
        return ContainmentWay.SEVERAL
    kind = node_of(records, query.cause).kind
    _check_window(kind, query.shape, query.window)
    return ContainmentWay.DIRECT if kind in DIRECT_KINDS else ContainmentWay.BY_STROKE


def _period(query: ContainmentQuery) -> Period | None:
    return Period(query.since, query.until) if query.has_period else None


def _contain_by_stroke(records: Records, query: ContainmentQuery, budget: Budget) -> Scope:
    asked = suspected(records, query)
    closure, judgements, narrowed, tiers = asked.closure, asked.judgements, asked.narrowed, asked.tiers
    holdings, total = _followed(records, tiers, budget)
    placed = place_discs(records, holdings)
    levels, siblings = _family(records, closure, judgements, query.defect)
    keep = kept_by_stroke if asked.read_as is Shape.FROM_ONSET else kept_of_kind
    kept = keep(records, holdings.histories, wanted_of(closure.axes, narrowed))
    conflicts = [text for held in holdings.lots.values() for text in held.conflicts]
    found = Found(
        cause=query.cause,
        kind=closure.kind,
        reasons=(*asked.reasons, *told_of_parts(closure.kind, placed.containers)),
        total=total,
        holdings=holdings,
        tiers=tuple(tiers),
        twice=back_loose(holdings.histories.values()),
        contradictions=(*(text for one in narrowed for text in one.contradictions), *conflicts),
        gaps=(
            *closure.hoppers.gaps,
            *gaps_of(records, closure, judgements, query.defect, asked.untold),
            *wide_bounds(placed, holdings.unclaimed),
            *came_back_loose(holdings.lots),
        ),
        co_affected=tuple(lot for lot in holdings.lots if lot != query.cause),
        suspects=asked.tools,
        evidence=tuple(judgements),
        samples=shown_by(
            strokes_by_lot(tiers, *TierName),
            strokes_by_lot(tiers, TierName.POSSIBLE),
            judgements,
            query.defect,
        ),
        levels=levels,
        siblings=siblings,
        carried=closure.hoppers.carried,
        next_tests=next_tests(closure.axes, narrowed, asked.read_as, kept, query.next_tests),
        axes=closure.axes,
        budget=budget,
        untold=asked.untold,
    )
    return make_scope(records, query, placed, found)


def _require_each_once(query: ContainmentQuery) -> None:
    twice = sorted({code for code in query.codes if query.codes.count(code) > 1})
    if twice:
        raise UsageError(f"{', '.join(twice)} is named twice: expected each cause once")


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


def _followed(records: Records, tiers: Sequence[Tier], budget: Budget) -> tuple[StrokeHoldings, Bound]:
    """Follow the lots that have discs in question; and all of their discs together."""
    lots = dict.fromkeys(tier.lot for tier in tiers if tier.name is not TierName.CLEARED)
    proven, possible = strokes_by_lot(tiers, TierName.PROVEN), strokes_by_lot(tiers, TierName.POSSIBLE)
    holdings = follow_lots(records, lots, proven, possible, budget)
    pieces = sum(len(held.history.pressed) for held in holdings.lots.values())
    least = sum(len(strokes) for strokes in proven.values())
    most = least + sum(len(strokes) for strokes in possible.values())
    return holdings, Bound(pieces, least, most, None, tight=True)


def wide_bounds(placed: Placed, unclaimed: set[str]) -> list[str]:
    """Say for which lots the bounds may be wider than the records force."""
    wide = dict.fromkeys(
        held.lot for held in placed.containers if not held.tight and held.code not in unclaimed
    )
    return [
        f"In {piece_words(lot).whole} {lot} movements conflict, or more is open than was worked out: the bounds hold, but may be wider than the "
        f"records force."
        for lot in wide
    ]
