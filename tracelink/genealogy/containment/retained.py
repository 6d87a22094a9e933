"""Discs that can still be looked at: known by their stroke, and in the plant."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tracelink.genealogy.containment.held import ContainerBound
from tracelink.genealogy.containment.whereabouts import Whereabouts
from tracelink.genealogy.flow.follow import history_of
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.flow.pools import History, PoolShare
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import closure_of
from tracelink.genealogy.suspects.level import Levels
from tracelink.genealogy.suspects.lookat import FetchableDiscs, Sibling
from tracelink.ledger.closed_sets import DiscPlace

_GONE = frozenset({DiscPlace.COUNTER, DiscPlace.SCRAP, DiscPlace.SET_UP, DiscPlace.DESTROYED, DiscPlace.LOST})
"""Places from which nobody fetches a disc: thrown, lost, or not booked on from the press."""

_EASE = ("sample", "spindle")
"""Kinds of places in the order in which a disc is at hand; anything packed comes after both."""

_UNASKED = Bound(0, 0, 0, None, tight=True)


def kept_by_stroke(
    records: Records, histories: Mapping[str, History], wanted: Mapping[str, StrokeSet]
) -> Iterator[FetchableDiscs]:
    """The wanted discs that somebody can fetch by their stroke.

    A disc under a tag of its own is known, and so is one in a stack that was never picked from: it is found by
    counting. In a carton of several nobody can tell one stroke from another.

    Args:
        records: the records.
        histories: the lots, followed to now.
        wanted: lot -> strokes.
    """
    for lot, place, lump, held in _in_plant(records, histories, wanted):
        here = lump.exact & wanted[lot]
        if here and (lump.count == 1 or (held.kind == "spindle" and not lump.shares)):
            yield FetchableDiscs(lot, here, place, held.kind, held.status, held.parents, known=True)


def kept_of_kind(
    records: Records, histories: Mapping[str, History], wanted: Mapping[str, StrokeSet]
) -> Iterator[FetchableDiscs]:
    """Places in which every disc is a wanted one, whichever it is: any disc of them will do.

    Args:
        records: the records.
        histories: the lots, followed to now.
        wanted: lot -> strokes.
    """
    for lot, place, lump, held in _in_plant(records, histories, wanted):
        here = histories[lot].strokes_in(lump)
        if here and not here - wanted[lot]:
            yield FetchableDiscs(lot, here, place, held.kind, held.status, held.parents, known=len(here) == 1)


def _in_plant(
    records: Records, histories: Mapping[str, History], lots: Iterable[str]
) -> Iterator[tuple[str, str, PoolShare, ContainerBound]]:
    # Its own, because what it says about unknown places is said by the scope already.
    whereabouts = Whereabouts(records)
    for lot in lots:
        for place, lump in histories[lot].at.items():
            if place in _GONE:
                continue
            held = whereabouts.container(place, lot, _UNASKED)
            if not held.shipped and not held.consignee:
                yield lot, place, lump, held


def ease(kind: str) -> int:
    """0 for a sample in the lab, 1 for a stack, 2 for anything packed."""
    return _EASE.index(kind) if kind in _EASE else len(_EASE)


def untested_siblings(records: Records, levels: Levels) -> tuple[Sibling, ...]:
    """For each stamper of the family without a judged disc, a disc that would tell about it."""
    untested = dict.fromkeys(code for level in levels.levels for code in level.untested)
    return tuple(Sibling(code, _best(_made_by(records, code))) for code in untested)


def _made_by(records: Records, stamper: str) -> Iterator[FetchableDiscs]:
    wanted: dict[str, StrokeSet] = {}
    for axis in closure_of(records, stamper).axes:
        for stretch in axis.stretches:
            wanted[stretch.lot] = wanted.get(stretch.lot, NO_STROKES) | stretch.strokes
    return kept_of_kind(records, {lot: history_of(records, lot) for lot in wanted}, wanted)


def _best(kept: Iterable[FetchableDiscs]) -> FetchableDiscs | None:
    return min(kept, key=lambda one: (ease(one.kind), one.lot, one.strokes.first), default=None)
