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
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
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
    stacks = None if sums.waiting else _stacks(pressed, sums.pressed)
    if stacks is None or sums.movements != len(sums.pressed) + sum(one.movements for one in sums.picked):
        return None
    # What was stacked after the first pick would be mixed with what was left.
    begun = {move.target: move.seq for move in sums.pressed}
    if not all(_is_plain(one, begun) for one in sums.picked):
        return None
    counter = pressed
    for strokes in stacks.values():
        counter -= strokes
    lot = PlainLot(counter, stacks, sums.picked)
    return lot if all(number >= 0 for number in lot.left.values()) else None


def _stacks(pressed: StrokeSet, moves: Iterable[MovementFact]) -> dict[str, StrokeSet] | None:
    """The strokes that went to each place from the press; None if that is not known of each."""
    seen = NO_STROKES
    stacks: dict[str, StrokeSet] = {}
    for move in moves:
        if move.first is None or move.last is None or move.sense is not None or move.target.isdigit():
            return None
        strokes = StrokeSet.between(move.first, move.last)
        if len(strokes) != move.quantity or strokes & seen or strokes - pressed:
            return None
        seen |= strokes
        stacks[move.target] = stacks.get(move.target, NO_STROKES) | strokes
    return stacks


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
            place: (len(strokes), len(strokes & proven), len(strokes & suspect))
            for place, strokes in lot.stacks.items()
        }

    @property
    def counter(self) -> Bound:
        """Of the discs at the press counter."""
        return self._counter

    def of(self, taken: Mapping[str, int]) -> Bound:
        """The bounds of places that have so many discs of each stack together, as `LotBounds.of`."""
        least = most = 0
        none = []
        for place, number in taken.items():
            count, fewest, greatest = self._stacks[place]
            least += max(0, fewest - (count - number))
            most += min(greatest, number)
            none.append(chance_of_none(count, greatest, number))
        return Bound(sum(taken.values()), least, most, 1.0 - prod(none), tight=True)
