"""Lots whose discs were stacked at the press and picked from the stacks once, nobody recorded which: nearly all.

Theory of operation. Each stack of such a lot is one pool of known discs, and what a place holds is how many discs of which
stacks were picked into it. So one pass over the rows of movements, as they come from the records, says what `follow.py`
would: the same pools and places, in the same order. They are made when somebody asks where the discs are now, which a walk
does not; the passages, an object for each movement, only if somebody asks for them. Where anything else was recorded, a lot is not plain, and is followed as usual.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from tracelink.genealogy.flow.pools import History, Passage, PlainMoves, Pool, PoolShare
from tracelink.genealogy.model.facts import MovementRow
from tracelink.genealogy.model.strokes import NO_STROKES, Span, StrokeSet
from tracelink.ledger.closed_sets import DiscPlace

# Plain text: they are compared with for every movement, and a member of an enum is slow to look up.
_COUNTER, _CUSTOMERS = DiscPlace.COUNTER.value, DiscPlace.CUSTOMERS.value


def plain_history(
    lot: str, pressed: StrokeSet, rows: Sequence[MovementRow], follow: Callable[[], list[Passage]]
) -> History | None:
    """Return the movements of a lot if it is plain, else None.

    Args:
        lot: the lot's code.
        pressed: its strokes.
        rows: its movements in journal order.
        follow: makes its passages.
    """
    floor = _floor_of(rows)
    if floor is None or not floor.adds_up():
        return None
    stacks = {place: StrokeSet.of(*spans) for place, spans in floor.stacked.items()}
    stacked = StrokeSet.of(*(span for strokes in stacks.values() for span in strokes.spans))
    # A stroke that went to two places counts once there, and one that was never pressed cannot have been stacked.
    if len(stacked) != sum(floor.discs.values()) or stacked - pressed:
        return None
    waiting = pressed - stacked
    moves = PlainMoves(
        rows, stacks, waiting, tuple(floor.order), lambda: _laid_out(floor, stacks, waiting), follow
    )
    return History(lot, pressed, plain=moves)


@dataclass(slots=True)
class _Floor:
    """What was stacked and picked of one lot, as counts."""

    order: dict[str, None] = field(default_factory=dict)
    """The places that discs came to."""
    stacked: dict[str, list[Span]] = field(default_factory=dict)
    """Place -> the strokes that went there from the press."""
    discs: dict[str, int] = field(default_factory=dict)
    """Place -> how many that are."""
    picked: dict[tuple[str, str], int] = field(default_factory=dict)
    """(stack, place) -> how many of its discs came there."""
    first_picks: dict[str, int] = field(default_factory=dict)
    """Stack -> how many discs the first pick took."""

    def stack(self, quantity: int, place: str, first: int | None, last: int | None) -> bool:
        """Stack discs that are known by their strokes; returns whether the lot is still plain."""
        if first is None or last is None or last - first + 1 != quantity or quantity < 1:
            return False
        # What is stacked on a place that was picked from would be mixed with what was left there.
        if place in self.first_picks or place in {_COUNTER, _CUSTOMERS}:
            return False
        self.order[place] = None
        self.stacked.setdefault(place, []).append(Span(first, last))
        self.discs[place] = self.discs.get(place, 0) + quantity
        return True

    def left(self) -> dict[str, int]:
        """Place -> how many of the discs stacked there are there still; below zero if more were picked."""
        left = dict(self.discs)
        for (source, _place), quantity in self.picked.items():
            left[source] = left.get(source, 0) - quantity
        return left

    def adds_up(self) -> bool:
        """Return whether what was picked was there, and stayed where it came to."""
        targets = {place for _source, place in self.picked}
        if _COUNTER in targets or not targets.isdisjoint(self.first_picks):
            return False
        return all(number >= 0 for number in self.left().values())


def _floor_of(rows: Sequence[MovementRow]) -> _Floor | None:
    """Count what was stacked and picked; None where a movement is neither."""
    floor = _Floor()
    order, picked, first_picks = floor.order, floor.picked, floor.first_picks
    # A wide question passes here with every movement, so each pick is only counted and judged afterwards.
    for _seq, _line, _lot, quantity, source, target, first, last, _at, sense in rows:
        if sense is not None:
            return None
        if source == _COUNTER:
            if not floor.stack(quantity, target, first, last):
                return None
        elif first is None and last is None and quantity > 0:
            pair = source, target
            before = picked.get(pair, 0)
            picked[pair] = before + quantity
            if not before:
                order[target] = None
                first_picks.setdefault(source, quantity)
        else:
            return None
    return floor


def _laid_out(
    floor: _Floor, stacks: Mapping[str, StrokeSet], waiting: StrokeSet
) -> tuple[dict[str, PoolShare], list[Pool]]:
    """What each place holds now, those at the counter first, and the pools that the shares are of."""
    # A stack that went all at once is no pool: its strokes are known still.
    parted = [stack for stack, number in floor.first_picks.items() if number < floor.discs[stack]]
    pools = [Pool(stacks[stack], floor.discs[stack], stack) for stack in parted]
    shares = _Shares(stacks, {stack: number for number, stack in enumerate(parted)})
    came: dict[str, list[tuple[str, int]]] = {}
    for (source, place), quantity in floor.picked.items():
        came.setdefault(place, []).append((source, quantity))
    left = floor.left()
    at = {_COUNTER: PoolShare(waiting)} if waiting else {}
    for place in floor.order:
        taken = came.get(place)
        if taken is None:
            if left[place]:
                at[place] = shares.of(((place, left[place]),))
        else:
            lump = shares.of(tuple(taken))
            at[place] = PoolShare(stacks[place]) + lump if place in stacks else lump
    return at, pools


class _Shares:
    """What places hold, one object for all that hold alike."""

    def __init__(self, strokes: Mapping[str, StrokeSet], numbers: Mapping[str, int]) -> None:
        self._strokes = strokes
        self._numbers = numbers
        self._known: dict[tuple[tuple[str, int], ...], PoolShare] = {}

    def of(self, taken: tuple[tuple[str, int], ...]) -> PoolShare:
        """Discs of stacks, as (stack, how many)."""
        found = self._known.get(taken)
        if found is None:
            found = self._known[taken] = self._made(taken)
        return found

    def _made(self, taken: Iterable[tuple[str, int]]) -> PoolShare:
        exact, shares = NO_STROKES, dict[int, int]()
        for stack, number in taken:
            if stack in self._numbers:
                shares[self._numbers[stack]] = number
            else:
                exact |= self._strokes[stack]
        return PoolShare(exact, shares)
