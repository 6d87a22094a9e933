"""Random days of a small plant where every disc is followed by hand, and the same days counted disc by disc.

A day is a list of events in the order in which they happened. What is written down of an event is a movement; which
discs it really carried is known here and nowhere else. Stations book late: the events reach the journal in another
order, each station's own in its order, and only such as a station would have taken.

`endings` goes through the events by their time and keeps every way the discs may have gone. It shares nothing with the
program: a disc that was taken back is followed by the event it is of, and what had left is known from the day.
"""

import itertools
from dataclasses import dataclass, field, replace

from support_memory import MemoryRecords

from tracelink.genealogy.model.facts import (
    ContainerFact,
    LotFact,
    MovementFact,
    NestFact,
    ReturnFact,
    SegmentFact,
    ShipmentFact,
)
from tracelink.ledger.closed_sets import DiscPlace, MovementSense

LOT = "L1"
CARTONS = ("C1", "C2", "C3")
MARKS = ("T1", "T2")
"""The stampers of side A: the second was put on in the middle of the lot."""


@dataclass(frozen=True)
class Event:
    """Something that happened, as it is written down; the discs are what really went."""

    minute: int
    station: str
    what: str
    source: str = ""
    target: str = ""
    discs: tuple[int, ...] = ()
    named: tuple[int, int] | None = None
    """The strokes it was recorded with."""
    back_of: int | None = None
    """The event whose very discs it takes back."""
    mark: str = ""
    numbers: tuple[str, ...] = ()
    """Cartons of the sleeves that were scanned of a loose return."""
    out: tuple[str, ...] = ()
    """The cartons with customers when loose discs came back."""
    came_from: dict = field(default_factory=dict)
    """Disc -> the carton that gave it up, of a loose return."""
    returned: int = 0
    """Number of a return."""


@dataclass
class Day:
    """A day as it goes on."""

    rng: object
    discs: int
    cut: int
    """The last stroke of the first stamper."""
    where: dict = field(default_factory=dict)
    events: list = field(default_factory=list)
    out: list = field(default_factory=list)
    """Cartons with customers."""
    closed: set = field(default_factory=set)
    returns: int = 0
    samples: int = 0
    waiting: dict = field(default_factory=dict)
    """Return -> the carton that stands there, None for loose discs."""
    can_be_undone: int | None = None
    most_undone: int = 3
    carton_size: int = 9
    gave: set = field(default_factory=set)
    """Cartons that gave up loose discs."""

    def at(self, place):
        return [disc for disc, here in self.where.items() if here == place]

    def some(self, place, most=2):
        here = self.at(place)
        return tuple(self.rng.sample(here, self.rng.randint(1, min(most, len(here)))))

    def book(self, station, what, source="", target="", discs=(), **more):
        for disc in discs:
            assert self.where[disc] == source or (what == "loose" and self.where[disc] in self.out)
            self.where[disc] = target
        self.events.append(Event(10 * len(self.events), station, what, source, target, tuple(discs), **more))
        self.can_be_undone = len(self.events) - 1 if what in ("pack", "reject") else None

    def spindles(self):
        return sorted({place for place in self.where.values() if place[0] == "K"})

    def open_cartons(self):
        return [name for name in CARTONS if name not in self.closed]

    def full_cartons(self):
        return [name for name in CARTONS if name in self.closed and name not in self.out and self.at(name)]


def random_day(rng, most_undone=3, carton_size=9, *, counted_short=True):
    """A day with samples from anywhere, several returns, loose ones among them, undos, cartons found short.

    Args:
        rng: where all chance comes from.
        most_undone: discs that are taken back at once; a line takes back one.
        carton_size: units that a carton takes.
        counted_short: whether two people find cartons short.
    """
    discs = rng.randint(4, 7)
    day = Day(rng, discs, rng.randint(1, discs - 1), dict.fromkeys(range(1, discs + 1), DiscPlace.COUNTER))
    day.most_undone, day.carton_size = most_undone, carton_size
    for card in ("K1", "K2"):
        here = day.at(DiscPlace.COUNTER)
        if here:
            chosen = tuple(here[: rng.randint(2, 4)])
            day.book("press", "stack", DiscPlace.COUNTER, card, chosen, named=(chosen[0], chosen[-1]))
    acts = (pack, pack, pack, undo, undo, sample, sample, reject, seal, depart, depart, loose, loose)
    acts += (carton_back, inspect, *(counted_short * (short, short)))
    if rng.random() < 0.4:
        # Much must have happened before returns and logs in another order can matter.
        for act in (
            pack,
            pack,
            depart,
            depart,
            rng.choice((carton_back, pack)),
            inspect,
            rng.choice(acts),
            loose,
        ):
            act(day)
    for _ in range(rng.randint(4, 12)):
        rng.choice(acts)(day)
    return day


def pack(day):
    spindles, cartons = day.spindles(), day.open_cartons()
    if spindles and cartons:
        source, carton = day.rng.choice(spindles), day.rng.choice(cartons)
        room = min(3, day.carton_size - len(day.at(carton)))
        if room:
            day.book("line", "pack", source, carton, day.some(source, room))


def undo(day):
    number = day.can_be_undone
    if number is None:
        return
    last = day.events[number]
    count = 1 if last.what == "reject" else day.rng.randint(1, min(day.most_undone, len(last.discs)))
    chosen = tuple(day.rng.sample(last.discs, count))
    day.book("line", "undo", last.target, last.source, chosen, back_of=number)


def sample(day):
    places = [place for place in set(day.where.values()) if place[0] in "KCr" and place not in day.out]
    places = sorted(place for place in places if place[0] != "C" or place in day.closed)
    places = [place for place in places if place != DiscPlace.COUNTER]
    if places:
        source = day.rng.choice(places)
        [disc] = day.some(source, 1)
        day.samples += 1
        named = (disc, disc) if day.rng.random() < 0.5 else None
        day.book("lab", "sample", source, f"S{day.samples}", (disc,), named=named)


def reject(day):
    if day.spindles():
        source = day.rng.choice(day.spindles())
        day.book("line", "reject", source, DiscPlace.SCRAP, day.some(source, 1))


def seal(day):
    ready = [name for name in day.open_cartons() if day.at(name)]
    if ready:
        seal_one(day, day.rng.choice(ready))


def seal_one(day, carton):
    day.closed.add(carton)
    day.book("line", "seal", carton)


def depart(day):
    ready = [name for name in CARTONS if name not in day.out and day.at(name)]
    if ready:
        carton = day.rng.choice(ready)
        if carton not in day.closed:
            seal_one(day, carton)
        day.out.append(carton)
        day.book(day.rng.choice(("dock 1", "dock 2")), "depart", carton)


def loose(day):
    there = [disc for name in day.out for disc in day.at(name)]
    if not there:
        return
    mark = day.rng.choice(("", "worn", *MARKS))
    if mark in MARKS:
        there = [disc for disc in there if (disc <= day.cut) == (mark == "T1")]
    if not there:
        return
    chosen = tuple(day.rng.sample(there, day.rng.randint(1, min(2, len(there)))))
    read = [day.where[disc] for disc in chosen if day.rng.random() < 0.4]
    day.returns += 1
    day.gave |= {day.where[disc] for disc in chosen}
    day.waiting[f"return {day.returns}"] = None
    came_from = {disc: day.where[disc] for disc in chosen}
    more = {"mark": mark, "numbers": tuple(read), "out": tuple(day.out), "came_from": came_from}
    more["returned"] = day.returns
    day.book("dock 1", "loose", "customers", f"return {day.returns}", chosen, **more)


def short(day):
    """A disc is gone from a sealed carton, nobody knows where to; two people count the carton."""
    ready = [name for name in day.full_cartons() if name not in day.gave]
    if ready:
        carton = day.rng.choice(ready)
        day.book("dock 1", "short", carton, DiscPlace.LOST, day.some(carton, 1))


def carton_back(day):
    full = [name for name in day.out if day.at(name)]
    if full:
        carton = day.rng.choice(full)
        # The records bring back what they have of it: nobody counts a carton at the gate, so one that gave discs up
        # would be a false record.
        if carton in day.gave:
            return
        day.out.remove(carton)
        day.returns += 1
        day.waiting[f"return {day.returns}"] = carton
        station = next(e.station for e in reversed(day.events) if e.what == "depart" and e.source == carton)
        place = f"return {day.returns}"
        day.book(station, "back", carton, place, tuple(day.at(carton)), returned=day.returns)


def inspect(day):
    waiting = [place for place in day.waiting if day.at(place)]
    if not waiting:
        return
    place = day.rng.choice(waiting)
    carton = day.waiting.pop(place)
    chosen = tuple(day.at(place))
    came = next(event for event in day.events if event.target == place)
    if day.rng.random() < 0.3:
        day.book(came.station, "destroy", place, DiscPlace.DESTROYED, chosen)
    else:
        day.book(came.station, "restock", place, carton or f"K{10 + day.returns}{place[-1]}", chosen)


def booked_order(day, rng):
    """The events in an order in which they may have reached the journal."""
    order = list(day.events)
    for _ in range(6):
        tried = _late(order, rng)
        if _taken(tried):
            order = tried
    return order


def _late(order, rng):
    """The logs of one or two stations are replayed late."""
    there = sorted({event.station for event in order})
    late = rng.choice((["line", "dock 2"], rng.sample(there, rng.randint(1, min(2, len(there))))))
    first = rng.randrange(len(order))
    until = rng.choice((len(order), rng.randint(first, len(order))))
    held = [event for event in order[first:until] if event.station in late]
    kept = [event for event in order[first:until] if event.station not in late]
    return [*order[:first], *kept, *held, *order[until:]]


def _taken(order):
    """Whether every station would have taken its scans in this order: by counts, and by what had left."""
    counts, out, closed = {DiscPlace.COUNTER: 99}, set(), set()
    loose_ones = 0
    for event in order:
        if event.what in ("seal", "depart"):
            if not counts.get(event.source):
                return False
            if event.what == "depart" and event.source not in closed - out:
                return False
            (closed if event.what == "seal" else out).add(event.source)
            continue
        if event.what == "loose":
            loose_ones += len(event.discs)
            sent = sum(counts.get(name, 0) for name in out)
            if sent < loose_ones or not set(event.numbers) <= out:
                return False
        else:
            if counts.get(event.source, 0) < len(event.discs) or (
                event.source in out and event.what != "back"
            ):
                return False
            counts[event.source] -= len(event.discs)
        if (
            event.what in ("restock", "destroy")
            and event.source.startswith("return ")
            and counts[event.source]
        ):
            # A dock takes all that the records show there; who took one before, and is booked later, is refused then.
            return False
        if event.what == "back":
            if event.source not in out or counts[event.source]:
                return False
            out.discard(event.source)
        if event.what == "pack" and event.target in closed:
            return False
        if event.what in ("sample", "short") and event.source in CARTONS and event.source not in closed - out:
            return False
        counts[event.target] = counts.get(event.target, 0) + len(event.discs)
    return True


def records_of(day, order):
    """What the journal knows when the events reached it in this order."""
    movements, nests, shipments, read = [], [], [], []
    standing = {}
    for seq, event in enumerate(order, 1):
        at = f"2031-03-04T{event.minute // 60:02d}:{event.minute % 60:02d}:00+01:00"
        first, last = event.named or (None, None)
        sense = MovementSense.TAKEN_BACK if event.what == "undo" else None
        move = MovementFact(
            2 * seq, 0, LOT, len(event.discs), event.source, event.target, first, last, at, sense
        )
        if event.what == "seal":
            continue
        if event.what == "depart":
            code = f"D{seq}"
            standing[event.source] = len(nests)
            nests.append(NestFact(event.source, code, 2 * seq - 1, None))
            shipments.append(ShipmentFact(code, "O1", "Example Shop 1", "NO", at, 2 * seq))
        elif event.what in ("loose", "back"):
            movements.append(replace(move, target="returned"))
            movements.append(replace(move, line=1, source="returned"))
        else:
            movements.append(move)
        if event.what == "back":
            number = standing.pop(event.source)
            nests[number] = nests[number]._replace(closed=2 * seq)
        if event.what == "loose":
            read.append(ReturnFact(2 * seq, event.mark, event.numbers))
    return MemoryRecords(
        lots=[LotFact(LOT, "9520000012342", 1, "Moth Parliament", "W1", day.discs, "")],
        segments=[
            SegmentFact(LOT, 1, day.cut, "W1", "T1", "T9", 0, 0, "B1", "E1", "E2", 1),
            SegmentFact(LOT, day.cut + 1, day.discs, "W1", "T2", "T9", 0, day.cut, "B1", "E1", "E2", 1),
        ],
        movements=movements,
        nests=nests,
        containers=[ContainerFact(name, "carton", "closed", "") for name in CARTONS]
        + [ContainerFact(fact.code, "shipment", "shipped", "") for fact in shipments],
        shipments=shipments,
        returns=read,
        journal_head=(2 * len(order) + 9, "ab" * 32),
    )


def endings(day):
    """Every way the single discs may have gone, by the time of the events, as final places by disc."""
    events = day.events
    undone = {
        number: [at for at, event in enumerate(events) if event.back_of == number]
        for number in range(len(events))
    }
    states = {(DiscPlace.COUNTER,) * day.discs}
    for number, event in enumerate(events):
        if event.what in ("seal", "depart"):
            continue
        states = {after for state in states for after in _after(day, state, event, number, undone[number])}
    return {tuple(place if isinstance(place, str) else place[0] for place in state) for state in states}


def _after(day, state, event, number, undone):
    if event.back_of is not None:
        # Exactly the discs that were kept apart for it.
        own = (event.source, number)
        yield tuple(event.target if place == own else place for place in state)
        return
    able = event.out if event.what == "loose" else (event.source,)
    here = [disc for disc, place in enumerate(state, 1) if place in able and _fits(day, disc, event)]
    for chosen in itertools.combinations(here, len(event.discs)):
        given = [state[disc - 1] for disc in chosen]
        if any(given.count(carton) < event.numbers.count(carton) for carton in event.numbers):
            continue
        for labels in _labels(day, event, undone):
            after = list(state)
            for disc, label in zip(chosen, labels, strict=True):
                after[disc - 1] = label
            yield tuple(after)


def _fits(day, disc, event):
    if event.mark in MARKS and (disc <= day.cut) != (event.mark == "T1"):
        return False
    return event.named is None or event.named[0] <= disc <= event.named[1]


def _labels(day, event, undone):
    """Where the chosen discs are then: those that will be taken back are told apart by the event that does."""
    kept = len(event.discs) - sum(len(day.events[at].discs) for at in undone)
    labels = [event.target] * kept
    for at in undone:
        labels += [(event.target, at)] * len(day.events[at].discs)
    return set(itertools.permutations(labels))
