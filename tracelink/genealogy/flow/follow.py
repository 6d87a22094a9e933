"""Follow the movements of one lot in order; see pools.py for what is kept and why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from tracelink.genealogy.flow.event_order import in_order
from tracelink.genealogy.flow.plain_history import plain_history
from tracelink.genealogy.flow.pools import NOTHING, History, Passage, Pool, PoolShare
from tracelink.genealogy.flow.taken_back import MovementWay, ways_of
from tracelink.genealogy.model.facts import MovementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.closed_sets import DiscPlace

# Plain text: it is compared with for every movement, and a member of an enum is slow to look up.
_CUSTOMERS = DiscPlace.CUSTOMERS.value
_NAMED_AT_MOST = 12
"""How many movements a sentence lists before it only counts the rest."""


def history_of(records: Records, lot: str) -> History:
    """Follow every movement of a lot, from the press counter to where its discs are now.

    Args:
        records: the records.
        lot: the lot's code; if the lot itself is not known, its segments say what was pressed.
    """
    pressed, rows, head = pressed_of(records, lot), records.movement_rows(lot), records.head()[0]

    def replayed() -> History:
        return replay(lot, pressed, in_order([MovementFact(*row) for row in rows], len(pressed), head))

    return plain_history(lot, pressed, rows, lambda: replayed().followed) or replayed()


def ordered_movements(records: Records, lot: str, pressed: StrokeSet) -> list[MovementFact]:
    """The movements of a lot in the order in which they happened.

    Args:
        records: the records.
        lot: the lot's code.
        pressed: its strokes, from `pressed_of`.
    """
    return in_order(records.movements_of(lot), len(pressed), records.head()[0])


def pressed_of(records: Records, lot: str) -> StrokeSet:
    """Every stroke that the records know of a lot.

    Args:
        records: the records.
        lot: the lot's code.
    """
    fact = records.lot(lot)
    pressed = StrokeSet.between(1, fact.pressed) if fact is not None and fact.pressed else NO_STROKES
    for segment in records.segments_of(lot):
        pressed |= segment.strokes
    return pressed


def replay(
    lot: str,
    pressed: StrokeSet,
    movements: Iterable[MovementFact],
    marks: Iterable[tuple[int, str]] = (),
) -> History:
    """Follow movements that are given in order.

    Args:
        lot: the lot's code.
        pressed: the strokes counted at the press; all of them start at the counter.
        movements: movements of that lot only.
        marks: (entry, place) of which `History.marked` is to say what was there.
    """
    history = History(lot, pressed)
    if pressed:
        history.at[DiscPlace.COUNTER] = PoolShare(pressed)
    follower = _Follower(history)
    asked = sorted(marks, reverse=True)
    for move, ways in ways_of(movements):
        while asked and asked[-1][0] < move.seq:
            history.mark(asked.pop())
        if ways is None:
            follower.move_whole(move)
        else:
            follower.move(move, ways)
    for mark in asked:
        history.mark(mark)
    history.settle()
    return history


class _Follower:
    """Applies movements to a history."""

    def __init__(self, history: History) -> None:
        self._history = history
        self._pools = history.pools

    def move(self, move: MovementFact, ways: Sequence[MovementWay]) -> None:
        taken = NOTHING
        for way in ways:
            # Most movements go one way, as they were recorded.
            is_whole = way.quantity == move.quantity and way.source == move.source
            one = move if is_whole else replace(move, quantity=way.quantity, source=way.source)
            went = self._go(one, way.source, way.target)
            taken = went if taken is NOTHING else taken + went
        self._gone(move, taken)

    def move_whole(self, move: MovementFact) -> None:
        """Follow a movement of which nothing was taken back: nearly every one."""
        self._gone(move, self._go(move, move.source, move.target) if move.quantity else NOTHING)

    def _go(self, move: MovementFact, source: str, target: str) -> PoolShare:
        at = self._history.at
        went, left = self._take(move, at.get(source, NOTHING))
        self._put(source, left)
        there = at.get(target)
        self._put(target, went if there is None else there + went)
        return went

    def _gone(self, move: MovementFact, taken: PoolShare) -> None:
        history, pools, target = self._history, self._pools, move.target
        for number in taken.shares:
            if target == pools[number].place:
                pools[number].came_back = True
        history.followed.append(Passage(move, taken, len(history.followed)))

    def _put(self, place: str, lump: PoolShare) -> None:
        if lump.shares or lump.exact.spans:
            self._history.at[place] = lump
        else:
            # A place that became empty starts anew: what is stacked there later is not mixed with what was.
            self._history.at.pop(place, None)

    def _take(self, move: MovementFact, here: PoolShare) -> tuple[PoolShare, PoolShare]:
        """Split what is at the source into what goes and what stays."""
        if move.first is None or move.last is None:
            if len(here.shares) == 1 and not here.exact.spans:
                # Some of one stack, of which others were taken before: nearly every movement of a plant.
                ((number, count),) = here.shares.items()
                if move.quantity < count and move.source != _CUSTOMERS:
                    return (
                        PoolShare(NO_STROKES, {number: move.quantity}),
                        PoolShare(NO_STROKES, {number: count - move.quantity}),
                    )
            return self._take_some(move, here, NOTHING)
        named = StrokeSet.between(move.first, move.last)
        if len(named) == move.quantity:
            return self._take_named(move, here, named)
        if len(named) < move.quantity:
            self._conflict(move, f"names only the {len(named)} strokes {named}")
            taken, left = self._take_named(move, here, named)
            return taken + self._stray(move.quantity - len(named), move.source), left
        return self._take_some_of(move, here, named)

    def _take_named(
        self, move: MovementFact, here: PoolShare, named: StrokeSet
    ) -> tuple[PoolShare, PoolShare]:
        """Discs read one by one leave: they are taken out of the pools they were in."""
        sought = named - here.exact
        rest = PoolShare(here.exact - named, here.shares)
        if self._is_ambiguous(rest, sought):
            rest = self._merged(rest, move.source)
        shares = dict(rest.shares)
        for number in rest.shares:
            pool = self._pools[number]
            found = (sought & pool.strokes).lowest(shares[number])
            if not found:
                continue
            sought -= found
            shares[number] -= len(found)
            pool.count -= len(found)
            pool.strokes -= found
            if move.source != pool.place or pool.came_back:
                pool.read.append((len(self._history.followed), found))
            if not pool.known:
                pool.pinned |= found
                pool.loose = True
        if sought:
            self._conflict(move, f"strokes {sought} cannot be there")
        left = PoolShare(rest.exact, {number: count for number, count in shares.items() if count})
        return PoolShare(named), left

    def _is_ambiguous(self, here: PoolShare, sought: StrokeSet) -> bool:
        """Return whether a sought disc may belong to more than one of the shares here."""
        seen = NO_STROKES
        for number in here.shares:
            found = sought & self._pools[number].strokes
            if found & seen:
                return True
            seen |= found
        return False

    def _take_some_of(
        self, move: MovementFact, here: PoolShare, named: StrokeSet
    ) -> tuple[PoolShare, PoolShare]:
        """Some of the discs within a range leave."""
        meeting = {
            number: count for number, count in here.shares.items() if self._pools[number].strokes & named
        }
        within = PoolShare(here.exact & named, meeting)
        inside = all(
            self._pools[number].known and not self._pools[number].strokes - named for number in meeting
        )
        if inside:
            apart = {number: count for number, count in here.shares.items() if number not in meeting}
            return self._take_some(move, within, PoolShare(here.exact - named, apart))
        # The range cuts through a pool. The counts kept here cannot say so; the bounds stay valid without it.
        merged = self._merged(here, move.source)
        self._pools[next(iter(merged.shares))].loose = True
        return self._take_some(move, merged, NOTHING)

    def _take_some(
        self, move: MovementFact, within: PoolShare, apart: PoolShare
    ) -> tuple[PoolShare, PoolShare]:
        """Some discs out of `within` leave; `apart` stays whatever happens."""
        short = move.quantity - within.count
        if move.source == DiscPlace.CUSTOMERS:
            # Any disc of the lot that was sent: which carton gave it up is not recorded, and that is not a conflict.
            return self._stray(move.quantity, move.source), apart
        if short > 0:
            self._conflict(move, f"only {within.count} can be there")
            return within + self._stray(short, move.source), apart
        if short == 0:
            # Everything went, so nothing was left to chance: strokes that were known stay known.
            return within, apart
        merged = self._merged(within, move.source)
        (number,) = merged.shares
        rest = PoolShare(NO_STROKES, {number: merged.count - move.quantity})
        return PoolShare(NO_STROKES, {number: move.quantity}), rest + apart

    def _merged(self, lump: PoolShare, place: str) -> PoolShare:
        """The same discs as a share of one single pool; `place` is where they are."""
        if not lump.exact and len(lump.shares) == 1:
            return lump
        strokes = self._history.strokes_in(lump)
        pool = Pool(strokes, lump.count, place, made_of=lump if lump.shares else None)
        return self._share_of(pool)

    def _stray(self, count: int, place: str) -> PoolShare:
        return self._share_of(Pool(self._history.pressed, count, place, stray=True))

    def _share_of(self, pool: Pool) -> PoolShare:
        self._pools.append(pool)
        return PoolShare(NO_STROKES, {len(self._pools) - 1: pool.count})

    def _conflict(self, move: MovementFact, why: str) -> None:
        before = [passage.movement for passage in self._history.followed]
        into = [one.seq for one in before if one.target == move.source]
        out_of = [one.seq for one in before if one.source == move.source]
        came, left = _listed(into), _listed(out_of)
        if move.source == DiscPlace.COUNTER:
            came = f"{len(self._history.pressed)} strokes of the press and {came}"
        together = (*into, *out_of, move.seq)
        self._history.accused.append(frozenset(together))
        self._history.conflicts.append(
            f"Lot {move.lot}: entry {move.seq} takes {move.quantity} from {move.source} to {move.target}, but {why} "
            f"(brought there by {came}, taken by {left}). Count again or look for a late entry."
        )


def _listed(entries: Sequence[int]) -> str:
    if not entries:
        return "no entry"
    shown = ", ".join(str(seq) for seq in entries[:_NAMED_AT_MOST])
    more = len(entries) - _NAMED_AT_MOST
    return f"entries {shown}" + (f" and {more} more" if more > 0 else "")
