"""The balance of one lot: what came to each kind of place against what left it and what is there.

Theory of operation
-------------------
Discs go from the press counter onto spindles, from there into cartons, out, and sometimes back. For each of
these stages everything that came in stands on one side, everything that went out and what is still there on
the other. Every term is a sum of recorded counts; none is worked out as what is left over. What is there is
the kept count of the place, replaced by a physical count where somebody counted: then the count's difference
goes on counting until a later count of the same place says otherwise.

A difference has its sign: positive means discs that the records have and nobody finds, negative means more
discs than the records have, which is the stronger alarm. All differences together are the discs pressed less
those that are somewhere.

Source: mass balance of a press lot, derived from the chain of places (press, stack, sleeve, carton, returns);
differences shown with sign and never absorbed. Press rejects are scrapped from a stack whose strokes were
counted onto the spindle, so they stand in the line of the stack.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from tracelink.balance.lot_records import Count, LotRecords, Move, PlaceKind, kind_of
from tracelink.ledger.closed_sets import DiscPlace, is_return
from tracelink.ledger.kinds.measuring.judgement_entries import PlaceSorted, StackSorted
from tracelink.ledger.kinds.press import DiscsScrapped

SHIPPED = "shipped"
"""Where a carton stands that has left."""

COUNTED = "counted"
SCANNED = "scanned"
KEPT = "kept count"
"""What a term rests on: a physical count, scans, or the count kept by booking scans."""


@dataclass(frozen=True, slots=True)
class Term:
    """One number in a line."""

    name: str
    quantity: int
    basis: str


@dataclass(frozen=True, slots=True)
class BalanceLine:
    """One equation: what came in against what went out and what is there."""

    name: str
    came: tuple[Term, ...]
    went: tuple[Term, ...]
    entries: tuple[int, ...]
    """Entries to look at when it does not add up; empty when it does."""

    @property
    def difference(self) -> int:
        """Positive: not found; negative: more than came in."""
        return sum(term.quantity for term in self.came) - sum(term.quantity for term in self.went)


@dataclass(frozen=True, slots=True)
class LotBalance:
    """All lines of one lot, in the order in which discs pass them."""

    lot: str
    lines: tuple[BalanceLine, ...]

    @property
    def difference(self) -> int:
        """The sum of all differences, with sign. Opposite differences cancel in it: look at the lines."""
        return sum(line.difference for line in self.lines)

    @property
    def by_hand(self) -> int:
        """Discs that stand in the balance by a physical count."""
        return sum(term.quantity for line in self.lines for term in line.went if term.basis == COUNTED)

    @property
    def first(self) -> BalanceLine | None:
        """Where a difference first appears on the way of the discs."""
        return next((line for line in self.lines if line.difference), None)


def lot_balance(records: LotRecords) -> LotBalance:
    """Return the balance of a lot."""
    books = _Books(records)
    lines = [
        books.stage("pressed", PlaceKind.COUNTER),
        books.stage("stacked", PlaceKind.SPINDLE),
        books.stage("sleeved", PlaceKind.CARTON, physical=False),
        books.cartons(),
    ]
    rest = [
        books.stage("returned", PlaceKind.BACK),
        _loose(records),
        books.stage("set-up", PlaceKind.SET_UP),
        books.stage("scrap", PlaceKind.SCRAP),
        books.stage("samples", PlaceKind.SAMPLE),
        books.stage("destroyed", PlaceKind.DESTROYED),
        *(books.stage(place, place) for place in sorted(books.others)),
    ]
    lines += [line for line in rest if line.came or line.went]
    return LotBalance(records.lot, tuple(lines))


def _loose(records: LotRecords) -> BalanceLine:
    """Discs that came back one by one; the records still have them in the cartons that they left in."""
    total = sum(records.loose.values())
    came = (Term("came back without a carton", total, SCANNED),) if total else ()
    went = tuple(Term(status, discs, SCANNED) for status, discs in sorted(records.loose.items()))
    return BalanceLine("returned loose", came, went, ())


Where = PlaceKind | str
"""A kind of place, or the name of a place that has no kind."""

_BETWEEN: dict[tuple[Where, Where], str] = {
    (PlaceKind.COUNTER, PlaceKind.SPINDLE): "stacked",
    (PlaceKind.SPINDLE, PlaceKind.CARTON): "sleeved",
    (PlaceKind.CARTON, PlaceKind.SPINDLE): "put back on spindles",
    (PlaceKind.BACK, PlaceKind.CARTON): "restocked",
    (PlaceKind.BACK, PlaceKind.SPINDLE): "restocked loose",
    (PlaceKind.CUSTOMERS, PlaceKind.BACK): "came back loose",
}
_INTO: dict[Where, str] = {
    PlaceKind.SET_UP: "set-up and first-offs",
    PlaceKind.SAMPLE: "samples",
    PlaceKind.BACK: "returned",
    PlaceKind.DESTROYED: "destroyed",
}
_STILL: dict[Where, str] = {
    PlaceKind.COUNTER: "still at the press",
    PlaceKind.SPINDLE: "on spindles",
    PlaceKind.CARTON: "in cartons",
    PlaceKind.SET_UP: "scrapped",
    PlaceKind.SCRAP: "scrapped",
    PlaceKind.SAMPLE: "at the lab",
    PlaceKind.DESTROYED: "gone",
}
"""What is still at a kind of place; other places are named as they are."""


_SCRAPPED = {
    DiscsScrapped.kind: "press scrap",
    StackSorted.kind: "sorted out",
    PlaceSorted.kind: "sorted out",
}
"""Scrap by the kind of its entry; what is not here is scrapped while it is packed."""


def _still(where: Where, place: str) -> str:
    """What is still at a place; the places of single returns are one line together."""
    return DiscPlace.QUARANTINE.value if is_return(place) else _STILL.get(where, place)


def _where(place: str) -> Where:
    kind = kind_of(place)
    return place if kind is PlaceKind.OTHER else kind


def _name(move: Move) -> str:
    """How a movement is called; both lines that it touches call it so, and a reader finds it again."""
    source, target = _where(move.source), _where(move.target)
    if target is PlaceKind.SCRAP:
        return _SCRAPPED.get(move.kind, "packing scrap")
    return _BETWEEN.get((source, target)) or _INTO.get(target) or f"{_called(source)} to {_called(target)}"


def _called(where: Where) -> str:
    return where if isinstance(where, str) else where.value


def _flows(moves: Iterable[Move]) -> list[Term]:
    """Movements summed by name, in the order in which the names first came."""
    sums: dict[str, int] = {}
    for move in moves:
        sums[_name(move)] = sums.get(_name(move), 0) + move.quantity
    return [Term(name, quantity, SCANNED) for name, quantity in sums.items()]


class _Books:
    """The records of one lot, looked up by place."""

    def __init__(self, records: LotRecords) -> None:
        self._records = records
        self._last: dict[str, Count] = {count.place: count for count in records.counts}
        self._net: dict[str, int] = {DiscPlace.COUNTER: records.pressed}
        for move in records.moves:
            self._net[move.source] = self._net.get(move.source, 0) - move.quantity
            self._net[move.target] = self._net.get(move.target, 0) + move.quantity
        self._places = sorted({*records.stock, *self._net, *self._last})
        self.others = {place for place in self._places if kind_of(place) is PlaceKind.OTHER}

    def stage(self, name: str, where: Where, *, physical: bool = True) -> BalanceLine:
        """The line of one kind of place; `physical` when physical counts belong into it."""
        moves = self._records.moves
        came = _flows(m for m in moves if _where(m.target) == where != _where(m.source))
        went = _flows(m for m in moves if _where(m.source) == where != _where(m.target))
        if where is PlaceKind.COUNTER and self._records.pressed:
            came.insert(0, Term("press counter", self._records.pressed, SCANNED))
        places = [place for place in self._places if _where(place) == where]
        went += self._there([(_still(where, place), place) for place in places], physical=physical)
        wrong = [place for place in places if self._net.get(place, 0) != self._stock(place)]
        entries = {seq for place in wrong for seq in self._moves_at(place, after=0)}
        return self._line(name, came, went, entries, places if physical else [])

    def cartons(self) -> BalanceLine:
        """Where the discs in cartons are; by physical counts of the cartons that were counted."""
        places = [place for place in self._places if kind_of(place) is PlaceKind.CARTON]
        held = sum(self._stock(place) for place in places)
        came = [Term("in cartons", held, KEPT)] if held else []
        known = self._records.whereabouts
        named = [(known.get(place, "in cartons that the ledger does not know"), place) for place in places]
        went = self._less_loose(self._there(sorted(named), physical=True))
        return self._line("in cartons", came, went, set(), places)

    def _less_loose(self, there: list[Term]) -> list[Term]:
        """What came back loose is taken from what was shipped: which carton gave it up is not recorded."""
        loose = sum(
            move.quantity for move in self._records.moves if _where(move.source) is PlaceKind.CUSTOMERS
        )
        if not loose:
            return there
        others = [term for term in there if (term.name, term.basis) != (SHIPPED, KEPT)]
        shipped = sum(term.quantity for term in there) - sum(term.quantity for term in others)
        return [*others, Term(SHIPPED, shipped - loose, KEPT), Term("came back loose", loose, SCANNED)]

    def _line(
        self, name: str, came: list[Term], went: list[Term], entries: set[int], counted: list[str]
    ) -> BalanceLine:
        for place in counted:
            last = self._last.get(place)
            if last is not None and last.difference:
                entries |= {last.seq, *self._moves_at(place, after=self._agreed(place))}
        return BalanceLine(name, tuple(came), tuple(went), tuple(sorted(entries)))

    def _there(self, named: list[tuple[str, str]], *, physical: bool) -> list[Term]:
        sums: dict[tuple[str, str], int] = {}
        for name, place in named:
            last = self._last.get(place) if physical else None
            key = (name, KEPT if last is None else COUNTED)
            less = 0 if last is None else last.difference
            sums[key] = sums.get(key, 0) + self._stock(place) - less
        return [
            Term(name, quantity, basis)
            for (name, basis), quantity in sums.items()
            if quantity or basis == COUNTED
        ]

    def _stock(self, place: str) -> int:
        return self._records.stock.get(place, 0)

    def _agreed(self, place: str) -> int:
        """The entry of the last count of a place that agreed with the records; 0 if there was none."""
        agreed = [
            count.seq for count in self._records.counts if count.place == place and not count.difference
        ]
        return max(agreed, default=0)

    def _moves_at(self, place: str, *, after: int) -> Iterator[int]:
        for move in self._records.moves:
            if move.seq is not None and move.seq > after and place in (move.source, move.target):
                yield move.seq
