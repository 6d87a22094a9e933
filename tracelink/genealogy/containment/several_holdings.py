"""What the places hold of the discs of several causes: by stroke where that is known, else by place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracelink.genealogy.containment.by_place.spread import Touched, spread_of
from tracelink.genealogy.containment.causes import Cause
from tracelink.genealogy.containment.holdings import StrokeHoldings, follow_lots
from tracelink.genealogy.containment.mixed import MixedHoldings, PlacedClause
from tracelink.genealogy.flow.budget import Budget
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import NO_STROKES
from tracelink.genealogy.suspects.combine import (
    CauseAxis,
    Combined,
    Discs,
    union,
)


def holdings_of(  # noqa: PLR0913, PLR0917 - what all clauses come to, and each of them
    records: Records,
    found: Combined,
    causes: Sequence[Sequence[Cause]],
    lives: Sequence[Sequence[CauseAxis]],
    reach: Sequence[set[str]],
    budget: Budget,
) -> MixedHoldings:
    """Return what places hold of the discs in question.

    Args:
        records: the records.
        found: what all clauses together make suspect.
        causes: the causes of each clause.
        lives: the lives of each clause that are followed by stroke.
        reach: for each clause the lots that it can concern.
        budget: the time there is.
    """
    by_place = [any(cause.touched is not None for cause in clause) for clause in causes]
    open_ = {lot for lot in found.touched if found.proven.get(lot) or found.possible.get(lot)}
    sources = [[cause.touched for cause in clause if cause.touched is not None] for clause in causes]
    if len(causes) == 1:
        (moved,) = (lots_touched(clause) | stood_in(records, clause) for clause in sources)
        lots = open_ | moved
    else:
        lots = set.intersection(
            *(near if placed else open_ for near, placed in zip(reach, by_place, strict=True))
        )
    strokes = _strokes(records, lots, (found.proven, found.possible), budget)
    parts = []
    for clause, touched, placed in zip(lives, sources, by_place, strict=True):
        if placed:
            by_stroke = union(life.touched for life in clause)
            parts.append(
                PlacedClause(
                    _strokes(records, lots, ({}, by_stroke), budget)
                    if by_stroke and len(causes) > 1
                    else None,
                    {lot: len(strokes) for lot, strokes in by_stroke.items()},
                    tuple(spread_of(one, strokes.histories) for one in touched),
                )
            )
    return MixedHoldings(
        strokes=strokes,
        suspects={
            lot: (
                len(found.proven.get(lot, NO_STROKES)),
                len(found.proven.get(lot, NO_STROKES)) + len(found.possible.get(lot, NO_STROKES)),
            )
            for lot in lots
        },
        parts=tuple(parts),
        every=len(causes) > 1,
        whole=not all(by_place),
    )


def _strokes(
    records: Records, lots: Iterable[str], discs: tuple[Discs, Discs], budget: Budget
) -> StrokeHoldings:
    proven, possible = discs
    return follow_lots(records, sorted(lots), proven, possible, budget)


def lots_touched(sources: Iterable[Touched]) -> set[str]:
    """Return the lots of which discs were moved into what is followed by place."""
    return {move.lot for touched in sources for move in (*touched.entered, *touched.unsealed)}


def stood_in(records: Records, sources: Iterable[Touched]) -> set[str]:
    """Return the lots of which discs were moved into a place where what is followed stood."""
    places = {place for touched in sources for _seq, place in touched.stood}
    return {move.lot for place in sorted(places) for move in records.movements_into(place)}
