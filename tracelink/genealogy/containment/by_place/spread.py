"""How far discs that were touched at some place can have spread.

Which discs they are nobody recorded, so they are counted: a movement that takes q discs out of a place where at
most k are touched takes at most min(q, k) of them along, and what stays is at most what there is room for. Places
are counted one by one, so a disc that may be in two of them counts in both; a set of places never holds more than
were touched in all. These bounds always hold; they may be wider than the records force.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tracelink.genealogy.flow.pools import History
from tracelink.genealogy.model.facts import MovementFact
from tracelink.ledger.closed_sets import DiscPlace, MovementSense


@dataclass(frozen=True, slots=True)
class Touched:
    """Where discs were touched, place by place."""

    entered: tuple[MovementFact, ...] = ()
    """Movements of which every disc was touched."""
    unsealed: tuple[MovementFact, ...] = ()
    """The same for matches in the spool, which are the last movements of their lots."""
    stood: tuple[tuple[int, str], ...] = ()
    """(entry, place): all that was in the place at that entry."""


@dataclass(frozen=True, slots=True)
class Spread:
    """The most touched discs that each place can hold now."""

    upper: Mapping[tuple[str, str], int]
    """(lot, place) -> the most there."""
    total: Mapping[str, int]
    """Lot -> the most that were touched at all."""

    def most(self, lot: str, places: Iterable[str]) -> int:
        """The most touched discs of a lot in some places together."""
        there = sum(self.upper.get((lot, place), 0) for place in set(places))
        return min(there, self.total.get(lot, 0))


def spread_of(touched: Touched, histories: Mapping[str, History]) -> Spread:
    """Follow touched discs to now.

    Args:
        touched: where they were touched.
        histories: their lots, followed to now; lots that are not in it are passed over.
    """
    upper: dict[tuple[str, str], int] = {}
    total: dict[str, int] = {}
    for lot, history in histories.items():
        found = _Lot(history, touched)
        found.follow()
        total[lot] = min(found.total, len(history.pressed))
        upper |= {(lot, place): most for place, most in found.upper.items() if most}
    return Spread(upper, total)


class _Lot:
    """One lot, followed movement by movement."""

    def __init__(self, history: History, touched: Touched) -> None:
        self._history = history
        lot = history.lot
        self._entered = {(move.seq, move.line) for move in touched.entered if move.lot == lot}
        self._late = [move for move in touched.unsealed if move.lot == lot]
        self._stood = sorted(touched.stood)
        self._count: dict[str, int] = {DiscPlace.COUNTER: len(history.pressed)}
        self.upper: dict[str, int] = {}
        self.total = 0

    def follow(self) -> None:
        marks = iter(self._stood)
        mark = next(marks, None)
        for passage in self._history.passages:
            move = passage.movement
            while mark is not None and mark[0] < move.seq:
                self._mark(mark[1])
                mark = next(marks, None)
            self._move(move)
        while mark is not None:
            self._mark(mark[1])
            mark = next(marks, None)
        for late in self._late:
            self._touch(late.target, late.quantity)

    def _move(self, move: MovementFact) -> None:
        # What comes back from customers left in some carton, and nobody recorded which: any touched disc may be among it.
        # So it is with a sample of which nobody said where it was taken from.
        unsaid = move.source == DiscPlace.CUSTOMERS or move.sense == MovementSense.ASSUMED
        there = self.total if unsaid else self.upper.get(move.source, 0)
        taken = min(move.quantity, there)
        if move.sense != MovementSense.ASSUMED:
            self._count[move.source] = max(0, self._count.get(move.source, 0) - move.quantity)
        self._count[move.target] = self._count.get(move.target, 0) + move.quantity
        if move.source in self.upper:
            self.upper[move.source] = min(self.upper[move.source], self._count[move.source])
        if (move.seq, move.line) in self._entered:
            self._touch(move.target, move.quantity)
        elif taken:
            self.upper[move.target] = self.upper.get(move.target, 0) + taken

    def _touch(self, place: str, quantity: int) -> None:
        self.total += quantity
        self.upper[place] = min(self.upper.get(place, 0) + quantity, self._count.get(place, quantity))

    def _mark(self, place: str) -> None:
        there = self._count.get(place, 0)
        if there:
            self.total += there
            self.upper[place] = there
