"""Contain several causes at once, or what a station or a person did in a period.

The judged discs are put together in combine.py, places in mixed.py; this module looks the causes up and says in
sentences how they were read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from tracelink.genealogy.containment.by_place.touched_lots import (
    only_steps_by_place,
    tiers_of_stood,
    touched_lots,
)
from tracelink.genealogy.containment.causes import Cause, CauseQuery, look_up, require_sense
from tracelink.genealogy.containment.gaps import came_back_loose, gaps_of
from tracelink.genealogy.containment.given_evidence import judgements_for
from tracelink.genealogy.containment.holdings import back_loose
from tracelink.genealogy.containment.make_scope import Found, make_scope, place_discs
from tracelink.genealogy.containment.mixed import MixedHoldings
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.scope import Scope, Tier
from tracelink.genealogy.containment.several_holdings import holdings_of, lots_touched, stood_in
from tracelink.genealogy.containment.tiers import explained
from tracelink.genealogy.flow.budget import Budget
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Closure
from tracelink.genealogy.suspects.combine import (
    CauseAxis,
    Combined,
    Discs,
    PlaceClause,
    combine,
    union,
    without,
)
from tracelink.genealogy.suspects.evidence import counts_as
from tracelink.genealogy.suspects.lookat import NextTests
from tracelink.genealogy.suspects.samples import shown_by
from tracelink.ledger.count_words import piece_words

SEVERAL = "several"
"""Kind of a scope with more than one cause."""

_NOT_RANKED = (
    "Tests are ranked for one thing with a life of its own: ask about a stamper, press or lot alone."
)

_NAMED_AT_MOST = 3
"""Samples that a reason names before it only counts the rest."""


def contain_several(records: Records, query: ContainmentQuery, asked: CauseQuery, budget: Budget) -> Scope:
    """Scope several causes, or a station or person.

    Args:
        records: the records.
        query: what is asked.
        asked: its causes and period.
        budget: the time there is.

    Raises:
        UnknownCode: no record names one of the causes.
        UsageError: a period without a station or badge, a window without a period, a cause that did nothing, or
            evidence that says nothing about the causes.
    """
    causes = [
        [look_up(records, code, query.shape, asked.period) for code in clause] for clause in asked.clauses
    ]
    every = [cause for clause in causes for cause in clause]
    require_sense(every, query.shape, asked)
    lives = [[life for cause in clause for life in cause.lives] for clause in causes]
    by_place = [any(cause.touched is not None for cause in clause) for clause in causes]
    reach = _reach(records, causes, lives)
    lots = dict.fromkeys(
        stretch.lot for clause in lives for life in clause for stretch in life.axis.stretches
    )
    touched = _touched(lives, by_place, reach)
    judgements, untold = judgements_for(records, query, str(asked), lots, touched)
    judged = [(one, good) for one in judgements if (good := counts_as(one, query.defect)) is not None]
    found = _combined(lives, by_place, reach, judged)
    tiers = list(_tiers(found, every, asked))
    if len(causes) == 1:
        tiers = explained(tiers, [*every[0].carried, *every[0].blended])
    holdings = holdings_of(records, found, causes, lives, reach, budget)
    holdings = replace(holdings, spared=_judged_good(judged))
    in_steps = only_steps_by_place(causes)
    if in_steps:
        holdings, tiers = _with_stood(holdings, tiers, causes, (found.touched, _good_discs(judged)))
    placed = place_discs(records, holdings)
    tools = tuple(dict.fromkeys(tool for cause in every for tool in cause.tools))
    closure = Closure(str(asked), SEVERAL, tools, tuple(life.axis for clause in lives for life in clause))
    conflicts = [text for held in holdings.strokes.lots.values() for text in held.conflicts]
    answer = Found(
        cause=str(asked),
        kind=every[0].kind if len(every) == 1 else SEVERAL,
        reasons=tuple(_reasons(every, asked, any(by_place) and not in_steps)),
        total=holdings.total(),
        # Without places these are bounds by stroke like any others, and can be certified as such.
        holdings=holdings if holdings.parts else holdings.strokes,
        tiers=tuple(tiers),
        twice=back_loose(holdings.strokes.histories.values()),
        contradictions=(*([found.contradiction] if found.contradiction else ()), *conflicts),
        gaps=(
            *gaps_of(records, closure, judgements, query.defect, untold),
            *_outside(found, judged, causes),
            *_wide(holdings),
            *came_back_loose(holdings.strokes.lots),
        ),
        co_affected=tuple(lot for lot in holdings.strokes.lots if lot not in {cause.code for cause in every}),
        # Under "and" no one tool is suspect by itself, and holding it would stop work that nothing speaks against.
        suspects=closure.tools if len(causes) == 1 else (),
        evidence=tuple(judgements),
        samples=shown_by(found.touched, found.possible, judgements, query.defect),
        carried=tuple(one for cause in every for one in cause.carried),
        next_tests=NextTests(_NOT_RANKED, ()),
        clauses=asked.clauses,
        period=None if asked.period is None else (asked.period.since, asked.period.until),
        axes=closure.axes,
        budget=budget,
        untold=untold,
    )
    return make_scope(records, query, placed, answer)


def _with_stood(
    holdings: MixedHoldings,
    tiers: Sequence[Tier],
    causes: Sequence[Sequence[Cause]],
    judged: tuple[Discs, Discs],
) -> tuple[MixedHoldings, list[Tier]]:
    """Add networks and tiers of what stood in steps; `judged` has what is known by stroke, and what is good."""
    stood = [one for clause in causes for cause in clause for one in cause.stood]
    networks = touched_lots(holdings.strokes.lots, stood, *judged)
    every = [*tiers, *tiers_of_stood(stood, *judged)]
    every.sort(key=lambda tier: (tier.lot, tier.strokes.first))
    return replace(holdings, networks=networks), every


def _judged_good(judged: Iterable[tuple[JudgementFact, bool]]) -> frozenset[str]:
    """Samples that were judged good, and never bad."""
    said = list(judged)
    bad = {one.sample for one, good in said if not good}
    return frozenset(one.sample for one, good in said if good and one.sample not in bad)


def _good_discs(judged: Iterable[tuple[JudgementFact, bool]]) -> Discs:
    """Discs that were judged good, and never bad."""
    said = list(judged)
    bad = {(one.lot, one.stroke) for one, good in said if not good}
    return union(
        {one.lot: StrokeSet.between(one.stroke, one.stroke)}
        for one, good in said
        if good and (one.lot, one.stroke) not in bad
    )


def _touched(
    lives: Sequence[Sequence[CauseAxis]], by_place: Sequence[bool], reach: Sequence[set[str]]
) -> dict[str, StrokeSet | None]:
    """What evidence may speak about: discs touched by stroke, and any disc of lots that are only followed by place."""
    touched: dict[str, StrokeSet | None] = {}
    if any(by_place):
        touched.update(dict.fromkeys(sorted(set.intersection(*reach))))
    # Without judgements everything touched is possible, which is what is wanted here.
    touched.update(_combined(lives, by_place, reach, []).touched)
    return touched


def _combined(
    lives: Sequence[Sequence[CauseAxis]],
    by_place: Sequence[bool],
    reach: Sequence[set[str]],
    judged: Sequence[tuple[JudgementFact, bool]],
) -> Combined:
    # A clause with a cause that is followed by place may hold for any disc, so strokes cannot bound it.
    bounding = [
        clause for clause, placed in zip(lives, by_place, strict=True) if not placed or len(lives) == 1
    ]
    joined = PlaceClause.AND if len(lives) > 1 else PlaceClause.OR
    found = (
        combine(bounding, judged, joined if any(by_place) else PlaceClause.NOTHING)
        if bounding
        else Combined({})
    )
    if joined is PlaceClause.AND and any(by_place):
        # A lot of which nothing came to those places was not touched by all of the causes.
        found.keep(set.intersection(*(lots for lots, placed in zip(reach, by_place, strict=True) if placed)))
    return found


def _tiers(found: Combined, causes: Sequence[Cause], asked: CauseQuery) -> Iterator[Tier]:
    parts: list[Tier] = []
    for name, discs, reason in (
        (TierName.PROVEN, found.proven, f"bad by {_samples(found.proving)}, for {asked}"),
        (
            TierName.CLEARED,
            found.cleared,
            f"good discs leave no way to it: {_samples(found.clearing)}, for {asked}",
        ),
    ):
        parts += [Tier(name, lot, strokes, reason) for lot, strokes in discs.items() if strokes]
    for reason, discs in _by_cause(found.possible, causes):
        parts += [Tier(TierName.POSSIBLE, lot, strokes, reason) for lot, strokes in discs.items() if strokes]
    yield from sorted(parts, key=lambda tier: (tier.lot, tier.strokes.first))


def _by_cause(possible: Discs, causes: Sequence[Cause]) -> Iterator[tuple[str, Discs]]:
    """Divide discs by which of the causes touched them."""
    open_: list[tuple[tuple[str, ...], Discs]] = [((), possible)]
    for cause in causes:
        touched = union(life.touched for life in cause.lives)
        divided: list[tuple[tuple[str, ...], Discs]] = []
        for names, discs in open_:
            outside = without(discs, touched)
            inside = without(discs, outside)
            divided += [
                ((*names, f"{cause.kind} {cause.code}"), inside),
                (names, outside),
            ]
        open_ = [(names, discs) for names, discs in divided if discs]
    for names, discs in open_:
        yield f"touched by {' and '.join(names)}; no judged disc decides", discs


def _samples(judgements: Sequence[JudgementFact]) -> str:
    named = [f"sample {one.sample} (lot {one.lot}, stroke {one.stroke})" for one in judgements]
    more = len(named) - _NAMED_AT_MOST
    return ", ".join(named[:_NAMED_AT_MOST]) + (f" and {more} more" if more > 0 else "")


def _reach(
    records: Records, causes: Sequence[Sequence[Cause]], lives: Sequence[Sequence[CauseAxis]]
) -> list[set[str]]:
    """For each clause the lots that any of its causes can have touched."""
    found = []
    for clause, own in zip(causes, lives, strict=True):
        sources = [cause.touched for cause in clause if cause.touched is not None]
        found.append(
            lots_touched(sources) | stood_in(records, sources) | set(union(life.touched for life in own))
        )
    return found


def _reasons(causes: Sequence[Cause], asked: CauseQuery, placed: bool) -> Iterator[str]:
    for cause in causes:
        yield from cause.notes
    if len(asked.clauses) > 1:
        yield (
            f"Asked about discs for which all of these hold: {asked}. A good disc clears only what would have made it bad; "
            f"unknown never counts as cleared."
        )
    elif len(causes) > 1:
        yield (
            f"Asked about discs for which any of these holds: {asked}. A bad disc that several of them touched proves only "
            f"what follows from each of them."
        )
    if placed:
        yield (
            "What was packed, put on pallets or loaded is followed by place: how many discs may be touched is counted, and "
            "not which; those bounds hold and are not exact."
        )


def _outside(
    found: Combined, judged: Iterable[tuple[JudgementFact, bool]], causes: Sequence[Sequence[Cause]]
) -> Iterator[str]:
    """Under `and` a bad disc that only some causes touched is not evidence, and that must be said."""
    if len(causes) < 2:
        return
    for one, good in judged:
        if not good and one.stroke not in found.touched.get(one.lot, NO_STROKES):
            yield (
                f"Sample {one.sample} (lot {one.lot}, stroke {one.stroke}) was judged bad, but not all of the causes touched "
                f"it: it says nothing here. Look for another cause as well."
            )


def _wide(holdings: MixedHoldings) -> Iterator[str]:
    for lot in holdings.strokes.lots:
        if any(not holdings.of_lot(lot, [place]).tight for place, other in holdings.held() if other == lot):
            yield (
                f"In {piece_words(lot).whole} {lot} {piece_words(lot).many} are followed by place, were mixed before they were picked or read, or movements "
                f"conflict: the bounds hold, but may be wider than the records force."
            )
