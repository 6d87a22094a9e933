"""How many of the discs in question are in each place, container, group of containers and kind of place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from tracelink.genealogy.containment.held import (
    BACK_LOOSE,
    BEYOND,
    TOTAL,
    UNACCOUNTED,
    ContainerBound,
    GroupBound,
    Holdings,
    PlaceTotal,
    places_by_code,
)
from tracelink.genealogy.containment.place_index import PlaceIndex
from tracelink.genealogy.containment.whereabouts import Whereabouts
from tracelink.genealogy.flow.budget import Budget, no_limit
from tracelink.genealogy.flow.conflict import sentences_on
from tracelink.genealogy.flow.exact import LEAST, MOST, LotExact
from tracelink.genealogy.flow.follow import history_of
from tracelink.genealogy.flow.pool_bounds import Bound, LotBounds, together
from tracelink.genealogy.flow.pools import History
from tracelink.genealogy.flow.steps import doubted, steps_of
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.closed_sets import DiscPlace


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

    def places(self) -> frozenset[str]:
        """The places that hold discs of the lot now."""
        return frozenset(self.history.at)

    @property
    def is_plain(self) -> bool:
        """True if places that none of its discs was ever in hold none of them, for certain."""
        return self.examined and not self.conflicts and not self.loose and not self.unsaid

    def ever(self) -> set[str]:
        """The places that held discs of the lot at any time."""
        moves = [passage.movement for passage in self.history.passages]
        return {*self.history.at, *(move.source for move in moves), *(move.target for move in moves)}

    def bound(self, places: Iterable[str]) -> Bound:
        """The bounds of some places together."""
        wanted = frozenset(places)
        at = self.history.at
        lumps = [at[place] for place in wanted if place in at]
        quick = self.pools.of_one(lumps[0]) if len(lumps) == 1 else self.pools.of(lumps)
        if self.loose:
            # The pools keep such discs twice: in the carton they were sent in, and as strays where they are now.
            quick = replace(quick, least=max(0, quick.least - self.loose), chance=None, tight=False)
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
        least, most = self.exact.side(wanted, LEAST), self.exact.side(wanted, MOST)
        if least is None or most is None:
            return quick
        # Either pair of bounds is valid by itself, so the narrower end of each is, too. The network's may be the wider
        # one where a solve was cut short.
        fewest, greatest = max(least.value, quick.least), min(most.value, quick.most)
        return replace(
            quick,
            least=fewest,
            most=greatest,
            # What is proven to be there is no matter of chance, nor is what cannot be.
            chance=1.0 if fewest else quick.chance if greatest else 0.0,
            tight=least.tight and most.tight and not self.unsaid and self.examined,
        )


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
    movements = [passage.movement for passage in history.passages]
    steps = steps_of(records, lot, movements)
    exact = LotExact(history.pressed, steps, proven, proven | possible, budget)
    can_be_true = _can_be_true(history, exact)
    conflicts = list(history.conflicts)
    if can_be_true is False:
        conflicts += sentences_on(history, steps, budget) or _unnamed(history)
    pools = LotBounds(history, proven, possible)
    loose, unsaid = back_loose([history]), len(doubted(movements))
    head = records.head()[0]
    return LotHoldings(history, pools, exact, tuple(conflicts), head, loose, unsaid, can_be_true is not None)


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
        f"Lot {history.lot}: its movements cannot all be true; to find out which of them takes more --seconds."
    ]


@dataclass(frozen=True, slots=True)
class StrokeHoldings:
    """Discs that are suspect by their strokes."""

    lots: Mapping[str, LotHoldings]
    """The lots in question."""
    unclaimed: set[str] = field(default_factory=set)
    """Places whose content is not known any more, such as a carton that was found open."""
    _index: PlaceIndex = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        plain = {lot: held.ever() for lot, held in self.lots.items() if held.is_plain}
        always = [lot for lot in self.lots if lot not in plain]
        object.__setattr__(self, "_index", PlaceIndex(plain, always, self.lots))

    def bound(self, places: Iterable[str]) -> Bound:
        """The bounds of some places together."""
        return together(self.of_lot(lot, within) for lot, within in self._index.within(places))

    @property
    def histories(self) -> dict[str, History]:
        """The movements of each lot, followed to the end."""
        return {lot: held.history for lot, held in self.lots.items()}

    def of_lot(self, lot: str, places: Iterable[str]) -> Bound:
        """The same for the discs of one lot.

        A place that is not claimed holds any number of the lot's affected discs, up to the count recorded for it;
        the records say nothing on it, so it adds to the bounds of the others instead of sharing their discs.
        """
        wanted = frozenset(places)
        held = self.lots[lot]
        open_ones = wanted & self.unclaimed & held.history.at.keys()
        bound = held.bound(wanted - open_ones)
        if not open_ones:
            return bound
        discs = sum(held.history.at[place].count for place in open_ones)
        most = max(bound.most, min(bound.most + discs, len(held.exact.suspect)))
        return Bound(bound.pieces + discs, bound.least, most, None, tight=False)

    def mark_unclaimed(self, places: Iterable[str]) -> None:
        """Note places whose content is not known any more."""
        self.unclaimed.update(places)

    def held(self) -> list[tuple[str, str]]:
        """(place, lot) pairs that hold discs, apart from the counter and scrap."""
        return [
            (place, lot)
            for lot, one in self.lots.items()
            for place in one.history.at
            if place not in (DiscPlace.COUNTER, DiscPlace.SCRAP)
        ]


def groups_of(
    containers: Iterable[ContainerBound], holdings: Holdings, whereabouts: Whereabouts
) -> list[GroupBound]:
    """Bounds of each pallet, shipment, consignee, order and country together."""
    # Each group is asked as one set of places. Bounds of its cartons do not add up: one suspect disc among 20 in two
    # cartons of 10 gives each of them 0 to 1, and both together exactly 1.
    held = list(containers)
    by_code = places_by_code(held)
    outer = dict.fromkeys(parent for one in held for parent in one.parents)
    members = {(whereabouts.kind(code), code): by_code[code] for code in outer}
    for kind in BEYOND:
        for one in held:
            name = one.consignee if kind == "consignee" else whereabouts.bound_for(one, kind)
            if name:
                members.setdefault((kind, name), set()).add(one.code)
    still_here = {one.code for one in held if not one.shipped}
    return [
        GroupBound(
            kind,
            code,
            holdings.bound(places),
            shipped=places.isdisjoint(still_here),
            places=tuple(sorted(places)),
        )
        for (kind, code), places in members.items()
    ]


def back_loose(histories: Iterable[History]) -> int:
    """Discs that came back loose: they are where they were put, and still in the carton they were sent in."""
    return sum(
        passage.movement.quantity
        for history in histories
        for passage in history.passages
        if passage.movement.source == DiscPlace.CUSTOMERS
    )


def places_of(
    containers: Iterable[ContainerBound], holdings: Holdings, total: Bound, twice: int = 0
) -> list[PlaceTotal]:
    """Sum the discs of the lots in question by kind of place.

    Args:
        containers: every container that holds any.
        holdings: where the discs are.
        total: what the press counted, and how much of it is affected at least and at most.
        twice: discs that are in the records twice, from `back_loose`.
    """
    by_place: dict[str, list[str]] = {}
    for held in containers:
        by_place.setdefault(place_name(held), []).append(held.code)
    # As for groups, so the lines of least and most need not add up to the total; those of discs do.
    lines = []
    for name, codes in sorted(by_place.items()):
        bound = holdings.bound(set(codes))
        lines.append(_line(name, bound))
    lines.append(_line(DiscPlace.SCRAP, holdings.bound([DiscPlace.SCRAP])))
    if twice:
        lines.append(PlaceTotal(BACK_LOOSE, Bound(-twice, 0, 0, None, tight=True)))
    rest = holdings.bound([DiscPlace.COUNTER])
    found = sum(line.pieces for line in lines)
    # Not what the counter should hold but what is missing from the count: a difference shows with its sign.
    lines.append(_line(UNACCOUNTED, replace(rest, pieces=total.pieces - found)))
    return [*lines, _line(TOTAL, total)]


def place_name(held: ContainerBound) -> str:
    """The line of the places that a container is counted in."""
    if held.shipped:
        return "shipped"
    if held.consignee:
        return "loading"
    return f"{held.kind} {held.status}".rstrip()


def _line(name: str, bound: Bound) -> PlaceTotal:
    # Over many containers the chance of at least one says nothing that a person could act on.
    return PlaceTotal(name, replace(bound, chance=None))
