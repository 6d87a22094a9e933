"""Lots whose discs were stacked at the press and packed from the stacks, and nothing else: nearly all.

Theory of operation. What such a lot's stacks hold is known stroke by stroke; from there discs went on, nobody recorded
which, into cartons and scrap where they stayed. Each stack is a pool of known discs (`flow/pools.py`), so the bounds of
any set of cartons follow from how many discs each stack gave them all together, and the sums are all that is needed: no
movement is followed one by one. Where anything else was recorded, a lot is not plain, and is followed as usual.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import prod

from tracelink.genealogy.flow.pool_bounds import Bound, chance_of_none
from tracelink.genealogy.model.facts import MovementFact, MovementSums, PickedSum
from tracelink.genealogy.model.strokes import Span, StrokeSet
from tracelink.ledger.closed_sets import CartonStatus, DiscPlace

CARTON = "carton"


@dataclass(frozen=True, slots=True)
class PlainLot:
    """Where the discs of a plain lot are."""

    counter: StrokeSet
    """Still at the press counter."""
    stacks: Mapping[str, StrokeSet]
    """Place -> the strokes that went there from the press."""
    picked: tuple[PickedSum, ...]
    """What went on from there."""
    left: Mapping[str, int] = field(init=False)
    """Place -> how many of its discs are still there."""

    def __post_init__(self) -> None:
        left = {place: len(strokes) for place, strokes in self.stacks.items()}
        for one in self.picked:
            left[one.source] -= one.quantity
        object.__setattr__(self, "left", left)


def plain_lot(pressed: StrokeSet, sums: MovementSums) -> PlainLot | None:
    """Return the lot of some sums if it is plain.

    Args:
        pressed: its strokes.
        sums: its movements.
    """
    stacks = None if sums.waiting else _stacks(sums.pressed)
    if stacks is None or sums.movements != len(sums.pressed) + sum(one.movements for one in sums.picked):
        return None
    stacked = StrokeSet.of(*(span for strokes in stacks.values() for span in strokes.spans))
    # A stroke that went to two places counts once there, and one that was never pressed cannot be left.
    if stacked - pressed or len(stacked) != sum(move.quantity for move in sums.pressed):
        return None
    # What was stacked after the first pick would be mixed with what was left.
    begun = {move.target: move.seq for move in sums.pressed}
    if not all(_is_plain(one, begun) for one in sums.picked):
        return None
    lot = PlainLot(pressed - stacked, stacks, sums.picked)
    return lot if all(number >= 0 for number in lot.left.values()) else None


def _stacks(moves: Iterable[MovementFact]) -> dict[str, StrokeSet] | None:
    """The strokes that went to each place from the press; None if that is not known of each."""
    spans: dict[str, list[Span]] = {}
    for move in moves:
        if move.first is None or move.last is None or move.sense is not None or move.target.isdigit():
            return None
        if move.last - move.first + 1 != move.quantity:
            return None
        spans.setdefault(move.target, []).append(Span(move.first, move.last))
    return {place: StrokeSet.of(*stacked) for place, stacked in spans.items()}


def _is_plain(one: PickedSum, begun: Mapping[str, int]) -> bool:
    is_end = one.source == DiscPlace.SCRAP or one.source.isdigit()
    return (
        not one.odd
        and one.kind in (CARTON, DiscPlace.SCRAP)
        and one.status != CartonStatus.BROKEN
        and not is_end
        and begun.get(one.source, one.begun) < one.begun
    )


class PlainBounds:
    """The bounds of a plain lot.

    Args:
        lot: the lot.
        proven: strokes that are affected.
        possible: strokes that may be affected.
    """

    def __init__(self, lot: PlainLot, proven: StrokeSet, possible: StrokeSet) -> None:
        suspect = proven | possible
        self._counter = Bound(
            len(lot.counter),
            len(lot.counter & proven),
            len(lot.counter & suspect),
            1.0 if lot.counter & suspect else 0.0,
            tight=True,
        )
        self._stacks = {
            place: (len(strokes), strokes.common(proven), strokes.common(suspect))
            for place, strokes in lot.stacks.items()
        }
        self._asked: dict[frozenset[tuple[str, int]], Bound] = {}

    @property
    def counter(self) -> Bound:
        """Of the discs at the press counter."""
        return self._counter

    def of(self, taken: Mapping[str, int]) -> Bound:
        """The bounds of places that have so many discs of each stack together, as `LotBounds.of`."""
        # A consignee, its order and its country often have the same cartons of a lot.
        wanted = frozenset(taken.items())
        if wanted not in self._asked:
            self._asked[wanted] = self._of(taken)
        return self._asked[wanted]

    def _of(self, taken: Mapping[str, int]) -> Bound:
        least = most = 0
        none = []
        for place, number in taken.items():
            count, fewest, greatest = self._stacks[place]
            least += max(0, fewest - (count - number))
            most += min(greatest, number)
            none.append(chance_of_none(count, greatest, number))
        return Bound(sum(taken.values()), least, most, 1.0 - prod(none), tight=True)
