"""How many of the discs in question are in a place, or in several together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache

from tracelink.genealogy.containment.place_index import PlaceIndex
from tracelink.genealogy.flow.budget import Budget, no_limit
from tracelink.genealogy.flow.conflict import sentences_on
from tracelink.genealogy.flow.exact import LEAST, MOST, LotExact, Side
from tracelink.genealogy.flow.follow import history_of
from tracelink.genealogy.flow.pool_bounds import Bound, LotBounds, together
from tracelink.genealogy.flow.pools import History
from tracelink.genealogy.flow.steps import doubted, steps_of
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.count_words import whole_word


@dataclass(frozen=True, slots=True)
class LotHoldings:
    """The discs of one lot, where they are."""

    history: History
    """Its movements, followed to the end."""
    pools: LotBounds
    """Bounds by the arithmetic of pools: quick, and exact where they say so."""
    exact: LotExact
    """Bounds by its whole network, asked where the pools are not exact."""
    conflicts: tuple[str, ...]
    """Sentences on movements that cannot all be true."""
    head: int
    """The journal sequence up to which entries were followed; what comes later lay in the spool."""
    loose: int = 0
    """Discs that came back loose, and are counted twice: where they are, and in the carton that gave them up."""
    unsaid: int = 0
    """Samples of which nobody said where they were taken from, though they may be from several places."""
    examined: bool = True
    """False if there was no time to find out whether the movements can all be true: then no bound is called exact."""
    _asked: dict[frozenset[str], Bound] = field(default_factory=dict, init=False, repr=False, compare=False)

    def places(self) -> frozenset[str]:
        """The places that hold discs of the lot now."""
        return frozenset(self.history.at)

    @property
    def is_plain(self) -> bool:
        """True if places that none of its discs was ever in hold none of them, for certain."""
        return self.examined and not self.conflicts and not self.loose and not self.unsaid

    def bound(self, places: Iterable[str]) -> Bound:
        """The bounds of some places together."""
        # A pallet, its shipment and the order it is for often hold the same cartons of a lot.
        wanted = frozenset(places)
        if wanted not in self._asked:
            self._asked[wanted] = self._bound(wanted)
        return self._asked[wanted]

    def of_place(self, place: str) -> Bound:
        """The bounds of one place."""
        lump = self.history.at.get(place)
        if lump is not None and self.is_plain:
            quick = self.pools.of_one(lump)
            if quick.tight:
                return quick
        return self.bound([place])

    def _bound(self, wanted: frozenset[str]) -> Bound:
        at = self.history.at
        quick = self.pools.of(at[place] for place in wanted if place in at)
        if self.loose:
            # The pools keep such discs twice: in the carton they were sent in, and as strays where they are now. So do
            # the counts, also where a disc that was read again is known to be one of those of the carton.
            pieces = sum(at[place].count for place in wanted if place in at)
            least = max(0, quick.least - self.loose)
            quick = replace(quick, pieces=pieces, least=least, chance=None, tight=False)
        if self.unsaid:
            # The pools took each from a place that it may not be from: of theirs only the counts are left.
            there = min(len(self.exact.suspect), quick.pieces + self.unsaid)
            quick = replace(quick, least=0, most=there, chance=None, tight=False)
        # Movements that cannot all be true leave no assignment to bound: what the counts of each pool allow is all
        # that can be said, and it is not claimed to be the last word.
        if self.is_plain and quick.tight:
            return quick
        if quick.tight or self.conflicts:
            return replace(quick, tight=quick.tight and not self.conflicts and self.examined)
        lower, upper = self.exact.side(wanted, LEAST), self.exact.side(wanted, MOST)
        # Either pair of bounds is valid by itself, so the narrower end of each is, too. The network's may be the wider
        # one where a solve was cut short, and where there was no time to read it, it has none.
        fewest = quick.least if lower is None else max(lower.value, quick.least)
        greatest = quick.most if upper is None else min(upper.value, quick.most)
        return replace(
            quick,
            least=fewest,
            most=greatest,
            # What is proven to be there is no matter of chance, nor is what cannot be.
            chance=1.0 if fewest else quick.chance if greatest else 0.0,
            tight=_is_tight(lower) and _is_tight(upper) and not self.unsaid and self.examined,
        )


def _is_tight(side: Side | None) -> bool:
    return side is not None and side.tight


def lot_holdings(
    records: Records, lot: str, proven: StrokeSet, possible: StrokeSet, budget: Budget | None = None
) -> LotHoldings:
    """Follow a lot and prepare its bounds.

    Args:
        records: the records.
        lot: the lot's code.
        proven: strokes that are affected.
        possible: strokes that may be affected.
        budget: the time there is; None for as much as it takes.
    """
    budget = budget or no_limit()
    history = history_of(records, lot)
    loose, unsaid = back_loose([history]), _unsaid(history)
    steps = cache(lambda: steps_of(records, lot, [passage.movement for passage in history.passages]))
    if loose:
        # Only then do steps ask the records, so it must be now: a certificate comes when those may be closed.
        steps()
    exact = LotExact(history.pressed, steps, proven, proven | possible, budget)
    can_be_true = _can_be_true(history, exact)
    conflicts = list(history.conflicts)
    if can_be_true is False:
        conflicts += sentences_on(history, steps(), budget) or _unnamed(history)
    pools = LotBounds(history, proven, possible)
    head = records.head()[0]
    return LotHoldings(history, pools, exact, tuple(conflicts), head, loose, unsaid, can_be_true is not None)


def _unsaid(history: History) -> int:
    # Of a plain lot each movement says where its discs were.
    return 0 if history.plain else len(doubted(passage.movement for passage in history.passages))


def _can_be_true(history: History, exact: LotExact) -> bool | None:
    """Return whether the movements can all be true; None if there was no time to find out."""
    if history.conflicts:
        return False
    # Picks from known stacks alone can always be true; anything else must be shown to be possible.
    if all(pool.known and not pool.loose for pool in history.pools):
        return True
    return exact.can_be_true()


def _unnamed(history: History) -> list[str]:
    """A conflict that is known to be, where there was no time to say between which movements; none if one is named."""
    if history.conflicts:
        return []
    return [
        f"{whole_word(history.lot)} {history.lot}: its movements cannot all be true; to find out which of them takes more --seconds."
    ]


@dataclass(frozen=True, slots=True)
class StrokeHoldings:
    """Discs that are suspect by their strokes."""

    lots: Mapping[str, LotHoldings]
    """The lots in question."""
    unclaimed: set[str] = field(default_factory=set)
    """Places whose content is not known any more, such as a carton that was found open."""
    _index: PlaceIndex = field(init=False, repr=False, compare=False)
    _together: dict[frozenset[str], Bound] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        plain = {lot: held.history.ever() for lot, held in self.lots.items() if held.is_plain}
        always = [lot for lot in self.lots if lot not in plain]
        object.__setattr__(self, "_index", PlaceIndex(plain, always, self.lots))

    def bound(self, places: Iterable[str]) -> Bound:
        """The bounds of some places together."""
        # A pallet and its shipment, a consignee and the order, often have the very same cartons.
        wanted = frozenset(places)
        if wanted not in self._together:
            found = together(self.of_lot(lot, within) for lot, within in self._index.within(wanted))
            self._together[wanted] = found
        return self._together[wanted]

    @property
    def histories(self) -> dict[str, History]:
        """The movements of each lot, followed to the end."""
        return {lot: held.history for lot, held in self.lots.items()}

    def of_lot(self, lot: str, places: Iterable[str]) -> Bound:
        """The same for the discs of one lot.

        A place that is not claimed holds any number of the lot's affected discs, up to the count recorded for it;
        the records say nothing on it, so it adds to the bounds of the others instead of sharing their discs.
        """
        held = self.lots[lot]
        wanted = frozenset(places)
        open_ones = wanted & self.unclaimed & held.history.at.keys() if self.unclaimed else None
        if not open_ones:
            return held.bound(wanted)
        bound = held.bound(wanted - open_ones)
        discs = sum(held.history.at[place].count for place in open_ones)
        most = max(bound.most, min(bound.most + discs, len(held.exact.suspect)))
        return Bound(bound.pieces + discs, bound.least, most, None, tight=False)

    def of_place(self, lot: str, place: str) -> Bound:
        """The same for one place."""
        return self.of_lot(lot, [place]) if place in self.unclaimed else self.lots[lot].of_place(place)

    def mark_unclaimed(self, places: Iterable[str]) -> None:
        """Note places whose content is not known any more."""
        self.unclaimed.update(places)
        self._together.clear()

    def held(self) -> list[tuple[str, str]]:
        """(place, lot) pairs that hold discs, apart from the counter and scrap."""
        return [
            (place, lot)
            for lot, one in self.lots.items()
            for place in one.history.at
            if place not in (DiscPlace.COUNTER, DiscPlace.SCRAP)
        ]


def follow_lots(
    records: Records,
    lots: Iterable[str],
    proven: Mapping[str, StrokeSet],
    possible: Mapping[str, StrokeSet],
    budget: Budget,
) -> StrokeHoldings:
    """Follow lots that have discs in question.

    Args:
        records: the records.
        lots: the lots.
        proven: lot -> strokes that are affected.
        possible: lot -> strokes that may be affected.
        budget: the time there is.
    """
    wanted = list(lots)
    records.look_up_moved(wanted)
    return StrokeHoldings(
        {
            lot: lot_holdings(
                records, lot, proven.get(lot, NO_STROKES), possible.get(lot, NO_STROKES), budget
            )
            for lot in wanted
        }
    )


def back_loose(histories: Iterable[History]) -> int:
    """Discs that came back loose: they are where they were put, and still in the carton they were sent in."""
    return sum(
        passage.movement.quantity
        for history in histories
        if history.plain is None
        for passage in history.passages
        if passage.movement.source == DiscPlace.CUSTOMERS
    )
