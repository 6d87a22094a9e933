"""What is known about the discs in a place.

Theory of operation. A place holds, per lot, a *lump*: strokes known one by one, and *shares* of pools. A pool
is a set of discs that was divided by picks which nobody recorded disc by disc; its shares are the parts, and
together they are the pool. If 400 known discs stand on a spindle and some 25 go into a carton, the 400 become
a pool, 25 of it in the carton and 375 left. Any division with those sizes fits the records, so the bounds from
the sizes alone are exact, however often a share is divided again, moved whole or brought together.

Where a pick is made from a mixture (known strokes and a share, or shares of two pools), a new pool is made of
the whole mixture. How many suspects it holds is then an interval instead of a number. Bounds stay valid, but
they may be wider than the records force: the pool is *derived*, and what rests on it is not called tight.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from tracelink.genealogy.model.facts import MovementFact, MovementRow
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.closed_sets import DiscPlace


@dataclass(frozen=True, slots=True)
class PoolShare:
    """Discs of one lot that are in one place, or move together."""

    exact: StrokeSet = NO_STROKES
    """Strokes known to be here."""
    shares: Mapping[int, int] = field(default_factory=dict)
    """Pool number -> how many of that pool's discs are here, each 1 or more."""

    @property
    def count(self) -> int:
        """Number of discs."""
        total = len(self.exact)
        # A loop, not a sum: most lumps are one share of one pool, and walks ask thousands of them.
        for number in self.shares.values():
            total += number
        return total

    def __add__(self, other: PoolShare) -> PoolShare:
        # Most places held nothing of the lot before: a walk over a wide cause adds a hundred thousand times.
        if not other.shares and not other.exact.spans:
            return self
        if not self.shares and not self.exact.spans:
            return other
        shares = dict(self.shares)
        for pool, count in other.shares.items():
            shares[pool] = shares.get(pool, 0) + count
        return PoolShare(self.exact | other.exact, shares)


NOTHING = PoolShare()
"""No disc."""


@dataclass(slots=True)
class Pool:
    """Discs divided by picks that were not recorded disc by disc."""

    strokes: StrokeSet
    """The discs of the pool; if it is derived or stray, the discs that may be in it."""
    count: int
    """Number of discs; the shares add up to it."""
    place: str
    """Place at which it was mixed."""
    made_of: PoolShare | None = None
    """The mixture it was made of, if derived; its own discs were then not known one by one."""
    stray: bool = False
    """True for discs that were booked out of a place that did not have them: any disc of the lot."""
    pinned: StrokeSet = NO_STROKES
    """Strokes that were in a derived pool and were later read one by one; not in `count` any more."""
    read: list[tuple[int, StrokeSet]] = field(default_factory=list)
    """(number of the passage, strokes) of discs that were read after they had left `place`, or may have: they do
    not count any more, but earlier passages may have carried them."""
    came_back: bool = False
    """True once a share of it was moved back to `place`."""
    loose: bool = False
    """True if the records say more about these discs than the counts used here."""

    @property
    def known(self) -> bool:
        """True if `strokes` are exactly its discs."""
        return self.made_of is None and not self.stray


@dataclass(frozen=True, slots=True)
class Passage:
    """One movement and the discs it carried, as far as known."""

    movement: MovementFact
    """The recorded movement."""
    lump: PoolShare
    """The share of the pool that went."""
    number: int
    """Its position among the passages of the lot, from 0."""


@dataclass(frozen=True, slots=True)
class PlainMoves:
    """The movements of a plain lot, as they came from the records; see `plain_history.py`."""

    rows: Sequence[MovementRow]
    """In journal order."""
    stacks: Mapping[str, StrokeSet]
    """Place -> the strokes that were stacked there: whatever was picked from there is some of them."""
    waiting: StrokeSet
    """Those still at the press counter."""
    targets: Sequence[str]
    """The places that discs came to, each once."""
    lay_out: Callable[[], tuple[dict[str, PoolShare], list[Pool]]]
    """Makes `History.at` and `History.pools`, for who asks where discs are now."""
    follow: Callable[[], list[Passage]]
    """Makes the passages, for who needs each movement."""


@dataclass(slots=True)
class History:
    """All movements of one lot, followed in journal order."""

    lot: str
    """The lot."""
    pressed: StrokeSet
    """Every stroke the records know of this lot."""
    followed: list[Passage] = field(default_factory=list)
    """The passages, as far as they were made."""
    conflicts: list[str] = field(default_factory=list)
    """Sentences on movements that cannot all be true."""
    accused: list[frozenset[int]] = field(default_factory=list)
    """For each of them the journal sequences it names."""
    marked: dict[tuple[int, str], PoolShare] = field(default_factory=dict)
    """(entry, place) -> what was in the place at that entry, for those that were asked for."""
    marked_strokes: dict[tuple[int, str], StrokeSet] = field(default_factory=dict)
    """For the same, every stroke that may have been there, before any was read later."""
    plain: PlainMoves | None = None
    """The movements of a plain lot; None for any other."""
    _now: tuple[dict[str, PoolShare], list[Pool]] | None = field(default=None, init=False, repr=False)

    @property
    def at(self) -> dict[str, PoolShare]:
        """Place -> what is there now; places that became empty are left out."""
        return (self._now or self._laid_out())[0]

    @property
    def pools(self) -> list[Pool]:
        """By number; a derived pool comes after those it was made of."""
        return (self._now or self._laid_out())[1]

    def _laid_out(self) -> tuple[dict[str, PoolShare], list[Pool]]:
        self._now = ({}, []) if self.plain is None else self.plain.lay_out()
        return self._now

    @property
    def passages(self) -> list[Passage]:
        """Movements and the discs each carried, in journal order; those of a plain lot are made when first asked for."""
        if self.plain is not None and not self.followed:
            self.followed = self.plain.follow()
        return self.followed

    def targets(self) -> Iterable[str]:
        """The places that discs came to, mostly each once."""
        return (one.movement.target for one in self.followed) if self.plain is None else self.plain.targets

    def ever(self) -> set[str]:
        """The places that held discs at any time, the press counter as well."""
        if self.plain is not None:
            return {DiscPlace.COUNTER.value, *self.plain.targets}
        moves = [one.movement for one in self.followed]
        return {*self.at, *(move.source for move in moves), *(move.target for move in moves)}

    def at_press(self) -> PoolShare:
        """What the press counted and no movement took on."""
        if self.plain is not None:
            return PoolShare(self.plain.waiting)
        return self.at.get(DiscPlace.COUNTER, NOTHING)

    def mark(self, mark: tuple[int, str]) -> None:
        """Keep what is in a place now."""
        lump = self.marked[mark] = self.at.get(mark[1], NOTHING)
        self.marked_strokes[mark] = self.strokes_in(lump)

    def strokes_in(self, lump: PoolShare) -> StrokeSet:
        """Every stroke that may be in a lump."""
        found = lump.exact
        for pool in lump.shares:
            strokes = self.pools[pool].strokes
            found = found | strokes if found.spans else strokes
        return found

    def may_have_passed(self, passage: Passage) -> StrokeSet:
        """Every stroke that may have moved with a passage, within the range it was recorded with."""
        found = self.strokes_in(passage.lump)
        for pool in passage.lump.shares:
            for number, strokes in self.pools[pool].read:
                if number > passage.number:
                    found |= strokes
        move = passage.movement
        if move.first is not None and move.last is not None:
            found &= StrokeSet.between(move.first, move.last)
        return found

    def ever_in(self, place: str) -> StrokeSet:
        """Strokes that were in a place at some time, or may have been."""
        found = NO_STROKES
        for passage in self.passages:
            if passage.movement.target == place:
                found |= self.may_have_passed(passage)
        return found

    def settle(self) -> None:
        """Bring derived pools up to date with what was learned after they were made.

        A stroke read one by one leaves its pool, which narrows every pool made of it; and what makes a derived
        pool loose makes the pools it was made of loose as well.
        """
        for pool in self.pools:
            if pool.made_of is not None:
                pool.strokes = self.strokes_in(pool.made_of) - pool.pinned
        for pool in reversed(self.pools):
            if pool.made_of is not None and pool.loose:
                for number in pool.made_of.shares:
                    self.pools[number].loose = True
