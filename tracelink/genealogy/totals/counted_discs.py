"""Discs in question counted in heaps: those of plain lots by sums, those of others as they were followed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from tracelink.genealogy.containment.by_stroke import Suspected
from tracelink.genealogy.containment.group_totals import place_name
from tracelink.genealogy.containment.held import (
    BACK_LOOSE,
    BEYOND,
    TOTAL,
    UNACCOUNTED,
    ContainerBound,
    GroupBound,
    PlaceTotal,
)
from tracelink.genealogy.containment.holdings import StrokeHoldings, back_loose, follow_lots
from tracelink.genealogy.containment.make_scope import Placed, place_discs
from tracelink.genealogy.containment.whereabouts import Whereabouts
from tracelink.genealogy.flow.budget import Budget
from tracelink.genealogy.flow.follow import pressed_of
from tracelink.genealogy.flow.pool_bounds import Bound, together
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES
from tracelink.genealogy.totals.plain_lots import CARTON, PlainBounds, PlainLot, plain_lot
from tracelink.ledger.closed_sets import DiscPlace

_NONE = Bound(0, 0, 0, None, tight=True)


@dataclass(frozen=True, slots=True)
class _Heap:
    """Discs of a plain lot that stand in one place, or in alike cartons."""

    lot: str
    place: ContainerBound
    """One of them, for what it is and where it stands; its bound says nothing."""
    taken: Mapping[str, int]
    """Stack -> how many of its discs."""


class CountedDiscs:
    """The discs of a cause that is followed by strokes.

    Args:
        records: the records.
        asked: which discs.
        budget: the time there is.
    """

    def __init__(self, records: Records, asked: Suspected, budget: Budget) -> None:
        self._records = records
        self._proven, self._possible = asked.of_lots(TierName.PROVEN), asked.of_lots(TierName.POSSIBLE)
        lots = list(dict.fromkeys(tier.lot for tier in asked.tiers if tier.name is not TierName.CLEARED))
        pressed = {lot: pressed_of(records, lot) for lot in lots}
        sums = records.sums_of(lots)
        found = {lot: plain_lot(pressed[lot], sums[lot]) for lot in lots if lot in sums}
        self._plain = {lot: one for lot, one in found.items() if one is not None}
        self._bounds = {
            lot: PlainBounds(one, self._proven.get(lot, NO_STROKES), self._possible.get(lot, NO_STROKES))
            for lot, one in self._plain.items()
        }
        others = [lot for lot in lots if lot not in self._plain]
        self.followed: StrokeHoldings = follow_lots(records, others, self._proven, self._possible, budget)
        self.placed: Placed = place_discs(records, self.followed)
        self._heaps = list(self._standing())
        least = sum(len(strokes) for strokes in self._proven.values())
        self.total = Bound(
            sum(len(strokes) for strokes in pressed.values()),
            least,
            least + sum(len(strokes) for strokes in self._possible.values()),
            None,
            tight=True,
        )

    def _standing(self) -> Iterator[_Heap]:
        whereabouts = self.placed.whereabouts
        self._records.look_up(
            place
            for lot in self._plain.values()
            for place in (*(one.parent for one in lot.picked if one.parent), *_full(lot))
        )
        for code, lot in self._plain.items():
            for place in _full(lot):
                held = whereabouts.container(place, code, _NONE)
                yield _Heap(code, held, {place: lot.left[place]})
            yield from _cartons(code, lot, whereabouts)

    def _bound(self, heaps: Iterable[_Heap], places: Iterable[str]) -> Bound:
        """The bounds of heaps of plain lots and of places of the other lots together."""
        by_lot: dict[str, list[Mapping[str, int]]] = {}
        for heap in heaps:
            by_lot.setdefault(heap.lot, []).append(heap.taken)
        plain = [self._bounds[lot].of(_added(taken)) for lot, taken in by_lot.items()]
        return together([*plain, self.followed.bound(places)])

    def recipients(self) -> Iterator[GroupBound]:
        """Bounds of each consignee, order and country together."""
        for kind in BEYOND:
            heaps: dict[str, list[_Heap]] = {}
            places: dict[str, list[ContainerBound]] = {}
            for heap in self._heaps:
                heaps.setdefault(self.placed.whereabouts.bound_for(heap.place, kind), []).append(heap)
            for held in self.placed.containers:
                places.setdefault(self.placed.whereabouts.bound_for(held, kind), []).append(held)
            for name in dict.fromkeys((*heaps, *places)):
                if not name:
                    continue
                mine, others = heaps.get(name, []), places.get(name, [])
                shipped = all(one.shipped for one in (*(heap.place for heap in mine), *others))
                bound = self._bound(mine, {one.code for one in others})
                yield GroupBound(kind, name, bound, shipped=shipped)

    def places(self) -> Iterator[PlaceTotal]:
        """The discs by kind of place, as `places_of`."""
        heaps: dict[str, list[_Heap]] = {}
        places: dict[str, set[str]] = {}
        for heap in self._heaps:
            heaps.setdefault(place_name(heap.place), []).append(heap)
        for held in self.placed.containers:
            places.setdefault(place_name(held), set()).add(held.code)
        lines = [
            PlaceTotal(name, self._bound(heaps.get(name, ()), places.get(name, ())))
            for name in sorted({*heaps, *places})
        ]
        lines.append(PlaceTotal(DiscPlace.SCRAP, self._bound(self._scrap(), [DiscPlace.SCRAP])))
        twice = back_loose(self.followed.histories.values())
        if twice:
            lines.append(PlaceTotal(BACK_LOOSE, Bound(-twice, 0, 0, None, tight=True)))
        counters = [bounds.counter for bounds in self._bounds.values()]
        rest = together([*counters, self.followed.bound([DiscPlace.COUNTER])])
        found = sum(line.pieces for line in lines)
        lines.append(PlaceTotal(UNACCOUNTED, replace(rest, pieces=self.total.pieces - found)))
        lines.append(PlaceTotal(TOTAL, self.total))
        for line in lines:
            # Over many containers the chance of at least one says nothing that a person could act on.
            yield PlaceTotal(line.place, replace(line.bound, chance=None))

    def _scrap(self) -> Iterator[_Heap]:
        held = ContainerBound("", DiscPlace.SCRAP, "", "", _NONE, (), "", shipped=False)
        for code, lot in self._plain.items():
            if lot.left.get(DiscPlace.SCRAP):
                yield _Heap(code, held, {DiscPlace.SCRAP: lot.left[DiscPlace.SCRAP]})
            for one in lot.picked:
                if one.kind == DiscPlace.SCRAP:
                    yield _Heap(code, held, {one.source: one.quantity})


def _full(lot: PlainLot) -> list[str]:
    """The places of a plain lot that still hold discs of those stacked there."""
    return [place for place, number in lot.left.items() if number and place != DiscPlace.SCRAP]


def _cartons(code: str, lot: PlainLot, whereabouts: Whereabouts) -> Iterator[_Heap]:
    """The cartons of a lot in heaps of those that are and stand alike, whatever stacks they were filled from."""
    alike: dict[tuple[str, str], list[Mapping[str, int]]] = {}
    for one in lot.picked:
        if one.kind == CARTON:
            alike.setdefault((one.status, one.parent), []).append({one.source: one.quantity})
    for (status, parent), taken in alike.items():
        at = whereabouts.inside(parent)
        held = ContainerBound("", CARTON, status, code, _NONE, at.parents, at.consignee, shipped=at.shipped)
        yield _Heap(code, held, _added(taken))


def _added(taken: Sequence[Mapping[str, int]]) -> Mapping[str, int]:
    """Stack -> how many of its discs, over several heaps of one lot."""
    if len(taken) == 1:
        return taken[0]
    together: dict[str, int] = {}
    for one in taken:
        for stack, number in one.items():
            together[stack] = together.get(stack, 0) + number
    return together
