"""The least and the most affected discs a set of places can hold.

Theory of operation. For one pool of n discs of which k are suspect, q discs of it hold at most min(k, q) and
at least max(0, k - (n - q)). For a set of places the q of each pool is first summed over the places, because
the bounds of a sum are not the sum of the bounds: two cartons of 25 out of a stack of 50 with 10 suspects hold
0 to 10 each and exactly 10 together. Different pools divide independently, so their bounds add.

The least is taken with the proven strokes as suspects, the most with the proven and the possible ones: the
fault may have begun at any stroke between, and more suspects never mean fewer in a carton.

The chance of at least one is that of a hypergeometric draw: it assumes that the discs of a pool were taken in
random order, and that every possible stroke is in fact affected. Stacks are not well mixed, so it is a help
for deciding where to look first; it does not justify a release.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from dataclasses import dataclass
from math import comb, prod

from tracelink.genealogy.flow.pools import History, PoolShare
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet


@dataclass(frozen=True, slots=True)
class Bound:
    """How many affected discs some places can hold together."""

    pieces: int
    """Discs in them, of the lots in question."""
    least: int
    """Fewest affected discs that fit the records."""
    most: int
    """Most affected discs that fit the records."""
    chance: float | None
    """Chance of at least one affected disc, 0 to 1, under random mixing; None if it cannot be computed."""
    tight: bool
    """True if both bounds are reached by some assignment of discs that fits every record."""


class LotBounds:
    """The bounds for places of one lot.

    Args:
        history: the lot's movements, followed to the end.
        proven: strokes that are affected.
        possible: strokes that may be affected.
    """

    def __init__(self, history: History, proven: StrokeSet, possible: StrokeSet) -> None:
        self._history = history
        self._proven = proven
        self._suspect = proven | possible
        self._of_one: dict[tuple[int, int], Bound] = {}
        self._ranges: list[tuple[int, int]] = []
        for number in range(len(history.pools)):
            # A derived pool comes after those it was made of, so their ranges are there already.
            self._ranges.append(self._range_of(number))

    def of_one(self, lump: PoolShare) -> Bound:
        """The bounds of one lump. Cartons filled from one stack are alike, so theirs are worked out once."""
        if lump.exact.spans or len(lump.shares) != 1:
            return self.of([lump]) if lump.shares else self._of_known(lump.exact)
        (share,) = lump.shares.items()
        if share not in self._of_one:
            self._of_one[share] = self._of_share(*share) or self.of([lump])
        return self._of_one[share]

    def _of_known(self, strokes: StrokeSet) -> Bound:
        """The bounds of discs that are known one by one."""
        most = strokes.common(self._suspect)
        chance = 1.0 if most else 0.0
        return Bound(
            len(strokes), strokes.common(self._proven), most, chance, tight=not self._history.conflicts
        )

    def _of_share(self, number: int, taken: int) -> Bound | None:
        """The bounds of a share of a pool whose discs are known; None for any other."""
        if self._history.conflicts or not self._is_clean(number):
            return None
        count = self._history.pools[number].count
        fewest, greatest = self._ranges[number]
        least, most = max(0, fewest - (count - taken)), min(greatest, taken)
        return Bound(taken, least, most, 1.0 - chance_of_none(count, greatest, taken), tight=True)

    def of(self, lumps: Iterable[PoolShare]) -> Bound:
        """The bounds of several lumps together; no disc may be in two of them."""
        exact, shares = self._spread(lumps)
        lump = PoolShare(exact, shares)
        least, most = self._interval(lump)
        clean = all(self._is_clean(number) for number in shares)
        return Bound(
            pieces=lump.count,
            least=least,
            most=most,
            chance=self._chance(lump),
            tight=not self._history.conflicts and (clean or least == most),
        )

    def _spread(self, lumps: Iterable[PoolShare]) -> tuple[StrokeSet, dict[int, int]]:
        """Sum the lumps; a derived pool that is here whole is again what it was made of."""
        exact, shares = NO_STROKES, dict[int, int]()
        for lump in lumps:
            if lump.exact.spans:
                exact |= lump.exact
            for number, count in lump.shares.items():
                shares[number] = shares.get(number, 0) + count
        # A derived pool comes after those it was made of, so the latest is looked at first. Only pools that are here
        # are: a place holds a few, and a lot may have as many pools as places.
        todo = [-number for number in shares]
        heapq.heapify(todo)
        while todo:
            number = -heapq.heappop(todo)
            pool = self._history.pools[number]
            if pool.made_of is not None and shares.get(number) == pool.count and not pool.pinned:
                del shares[number]
                exact |= pool.made_of.exact
                for inner, count in pool.made_of.shares.items():
                    if inner not in shares:
                        heapq.heappush(todo, -inner)
                    shares[inner] = shares.get(inner, 0) + count
        return exact, shares

    def _is_clean(self, number: int) -> bool:
        pool = self._history.pools[number]
        return pool.known and not pool.loose

    def _range_of(self, number: int) -> tuple[int, int]:
        """Fewest and most suspects a whole pool can hold."""
        pool = self._history.pools[number]
        if pool.stray:
            return 0, min(pool.count, len(self._suspect))
        if pool.made_of is None:
            return pool.strokes.common(self._proven), pool.strokes.common(self._suspect)
        least, most = self._interval(pool.made_of)
        least -= pool.pinned.common(self._proven)
        most -= pool.pinned.common(self._suspect)
        return max(0, least), max(0, min(most, pool.count))

    def _interval(self, lump: PoolShare) -> tuple[int, int]:
        least, most = lump.exact.common(self._proven), lump.exact.common(self._suspect)
        for number, taken in lump.shares.items():
            fewest, greatest = self._ranges[number]
            least += max(0, fewest - (self._history.pools[number].count - taken))
            most += min(greatest, taken)
        return least, most

    def _chance(self, lump: PoolShare) -> float | None:
        if lump.exact.common(self._suspect):
            return 1.0
        none = 1.0
        for number, taken in lump.shares.items():
            pool = self._history.pools[number]
            if not self._is_clean(number):
                return None
            # Of a clean pool both ends of its range are the suspects in it.
            none *= chance_of_none(pool.count, self._ranges[number][1], taken)
        return 1.0 - none


def chance_of_none(total: int, suspects: int, taken: int) -> float:
    """The chance that a random draw without replacement holds no suspect.

    Args:
        total: discs in the pool.
        suspects: suspects among them, 0 to `total`.
        taken: discs drawn, 0 to `total`.

    Returns:
        0 to 1; hypergeometric, the term for zero.
    """
    return comb(total - suspects, taken) / comb(total, taken)


def together(bounds: Iterable[Bound]) -> Bound:
    """Bounds of places of different lots: lots do not exchange discs, so everything adds."""
    held = list(bounds)
    chances = [bound.chance for bound in held if bound.chance is not None]
    chance: float | None = 1.0 - prod(1.0 - one for one in chances)
    if len(chances) < len(held) and 1.0 not in chances:
        chance = None
    return Bound(
        pieces=sum(bound.pieces for bound in held),
        least=sum(bound.least for bound in held),
        most=sum(bound.most for bound in held),
        chance=chance,
        tight=all(bound.tight for bound in held),
    )
