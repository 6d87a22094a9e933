"""Lots whose discs were stacked at the press and picked from the stacks once, nobody recorded which: nearly all.

Theory of operation. Each stack of such a lot is one pool of known discs, and what a place holds is how many discs of which
stacks were picked into it. So one pass over the rows of movements, as they come from the records, says what `follow.py`
would: the same pools and places, in the same order. The passages, an object for each movement, are followed only if somebody
asks for them. Where anything else was recorded, a lot is not plain, and is followed as usual.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

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
    floor = _Floor()
    for _seq, _line, _lot, quantity, source, target, first, last, _at, sense in rows:
        if sense is not None:
            return None
        if source == _COUNTER:
            goes = floor.stack(quantity, target, first, last)
        else:
            goes = first is None and last is None and floor.pick(quantity, source, target)
        if not goes:
            return None
    stacked = floor.stacked()
    # A stroke that went to two places counts once there, and one that was never pressed cannot have been stacked.
    if len(stacked) != floor.discs or stacked - pressed:
        return None
    at, pools = floor.places(pressed - stacked)
    return History(lot, pressed, pools, at, plain=PlainMoves(rows, follow))


class _Floor:
    """Where the discs of one lot are, as counts; each step says whether the lot is still plain."""

    def __init__(self) -> None:
        self.discs = 0
        self._order: dict[str, None] = {}
        self._stacks: dict[str, list[Span]] = {}
        self._left: dict[str, int] = {}
        self._picked: dict[str, dict[str, int]] = {}
        """Place -> stack -> how many of its discs came there."""
        self._divided: dict[str, bool] = {}
        """Stack that was picked from -> False if all of it went at once, so that its strokes are known still."""

    def stack(self, quantity: int, place: str, first: int | None, last: int | None) -> bool:
        """Stack discs that are known by their strokes."""
        if first is None or last is None or last - first + 1 != quantity or quantity < 1:
            return False
        if place in self._divided or place in {_COUNTER, _CUSTOMERS}:
            return False
        self._order[place] = None
        self._stacks.setdefault(place, []).append(Span(first, last))
        self._left[place] = self._left.get(place, 0) + quantity
        self.discs += quantity
        return True

    def pick(self, quantity: int, source: str, place: str) -> bool:
        """Pick discs from a stack; what was picked into a place stays there."""
        left = self._left.get(source, 0)
        if not 0 < quantity <= left or source in self._picked or place in self._divided or place == _COUNTER:
            return False
        if source == place:
            return False
        if source not in self._divided:
            self._divided[source] = quantity < left
        self._left[source] = left - quantity
        there = self._picked.get(place)
        if there is None:
            self._order[place] = None
            self._picked[place] = {source: quantity}
        else:
            there[source] = there.get(source, 0) + quantity
        return True

    def stacked(self) -> StrokeSet:
        """Every stroke that was stacked."""
        return StrokeSet.of(*(span for spans in self._stacks.values() for span in spans))

    def places(self, waiting: StrokeSet) -> tuple[dict[str, PoolShare], list[Pool]]:
        """What each place holds now, those at the counter first, and the pools that the shares are of."""
        strokes = {place: StrokeSet.of(*spans) for place, spans in self._stacks.items()}
        parted = [place for place, is_parted in self._divided.items() if is_parted]
        pools = [Pool(strokes[place], len(strokes[place]), place) for place in parted]
        numbers = {place: number for number, place in enumerate(parted)}
        shares = _Shares(strokes, numbers)
        at = {_COUNTER: PoolShare(waiting)} if waiting else {}
        for place in self._order:
            picked = self._picked.get(place)
            if picked is None:
                left = self._left[place]
                if left:
                    at[place] = shares.of(((place, left),))
            else:
                lump = shares.of(tuple(picked.items()))
                at[place] = PoolShare(strokes[place]) + lump if place in strokes else lump
        return at, pools


class _Shares:
    """What places hold, one object for all that hold alike."""

    def __init__(self, strokes: dict[str, StrokeSet], numbers: dict[str, int]) -> None:
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
