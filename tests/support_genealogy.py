"""Small invented plants for the tests of the genealogy room, and a brute-force view of their discs."""

import itertools

from support_memory import MemoryRecords

from tracelink.genealogy.model.facts import JudgementFact, LotFact, MovementFact, SegmentFact, ToolFact
from tracelink.ledger.closed_sets import DiscPlace

AT = "2031-03-04T10:00:00+01:00"


class Floor:
    """A plant floor where every disc is followed by hand; writes the movements down as a plant would.

    `truth` has for each movement the discs that really went, which the movement itself may not say.
    """

    def __init__(self, rng, lot, discs):
        self.rng = rng
        self.lot = lot
        self.discs = discs
        self.where = dict.fromkeys(range(1, discs + 1), DiscPlace.COUNTER)
        self.movements = []
        self.truth = []

    def at(self, place):
        return [disc for disc, here in self.where.items() if here == place]

    def occupied(self):
        return sorted(set(self.where.values()))

    def book(self, discs, source, target, first=None, last=None):
        for disc in discs:
            assert self.where[disc] == source
            self.where[disc] = target
        self.truth.append(frozenset(discs))
        seq = len(self.movements) + 1
        self.movements.append(MovementFact(seq, 0, self.lot, len(discs), source, target, first, last, AT))

    def pick(self, source, target, count):
        """Some discs, not recorded one by one."""
        self.book(self.rng.sample(self.at(source), count), source, target)

    def read(self, source, target, count=1):
        """Discs of which the strokes are read: one movement for each."""
        for disc in self.rng.sample(self.at(source), count):
            self.book([disc], source, target, disc, disc)

    def partly(self, source, target):
        """Some discs out of a recorded range of strokes that is wider than their number."""
        here = self.at(source)
        chosen = self.rng.sample(here, self.rng.randint(1, len(here)))
        first = max(1, min(chosen) - self.rng.randint(0, 1))
        last = min(self.discs, max(chosen) + self.rng.randint(0, 1))
        self.book(chosen, source, target, first, last)

    def stack(self, spindle, count):
        """The next `count` discs at the counter, as one span."""
        chosen = self.at(DiscPlace.COUNTER)[:count]
        if chosen and chosen[-1] - chosen[0] + 1 == len(chosen):
            self.book(chosen, DiscPlace.COUNTER, spindle, chosen[0], chosen[-1])


def one_stage_floor(rng, lot="L1"):
    """Spindles stacked with known strokes, then picks, reads and repacking in any order."""
    floor = Floor(rng, lot, rng.randint(5, 10))
    spindles = ["K1", "K2"][: rng.randint(1, 2)]
    for spindle in spindles:
        floor.stack(spindle, rng.randint(3, 6))
    if rng.random() < 0.3 and floor.at(DiscPlace.COUNTER):
        floor.pick(DiscPlace.COUNTER, DiscPlace.SCRAP, rng.randint(1, len(floor.at(DiscPlace.COUNTER))))
    for _ in range(rng.randint(1, 6)):
        sources = [name for name in floor.occupied() if name in spindles]
        if not sources:
            break
        source = rng.choice(sources)
        if rng.random() < 0.25:
            floor.read(source, rng.choice(["S1", "S2"]))
        else:
            floor.pick(
                source,
                rng.choice(["C1", "C2", DiscPlace.SCRAP]),
                rng.randint(1, (1 + len(floor.at(source))) // 2),
            )
    return floor


def wild_floor(rng, lot="L1", most_discs=8):
    """Anything may go anywhere, be read on the way, and come back."""
    floor = Floor(rng, lot, rng.randint(4, most_discs))
    for _ in range(rng.randint(3, 10)):
        source = rng.choice(floor.occupied())
        target = rng.choice([name for name in ("K1", "K2", "C1", "C2", DiscPlace.SCRAP) if name != source])
        kind = rng.random()
        if source == DiscPlace.COUNTER and kind < 0.6:
            floor.stack(target, rng.randint(1, 4))
        elif kind < 0.25:
            floor.read(source, target)
        elif kind < 0.4:
            floor.partly(source, target)
        else:
            floor.pick(source, target, rng.randint(1, (1 + len(floor.at(source))) // 2))
    return floor


def assignments(discs, movements):
    """Every way the single discs may have gone that fits the movements, as final places by disc.

    Returns:
        A set of tuples: the place of disc 1, disc 2, ...
    """
    states = {(DiscPlace.COUNTER,) * discs}
    for move in movements:
        reached = set()
        for state in states:
            here = [
                disc
                for disc, place in enumerate(state, 1)
                if place == move.source and (move.first is None or move.first <= disc <= move.last)
            ]
            for chosen in itertools.combinations(here, move.quantity):
                after = list(state)
                for disc in chosen:
                    after[disc - 1] = move.target
                reached.add(tuple(after))
        states = reached
    return states


def extremes(states, places, proven, suspects):
    """Fewest proven and most suspect discs that the places hold together in any assignment."""
    inside = [[disc for disc, place in enumerate(state, 1) if place in places] for state in states]
    return (
        min(sum(disc in proven for disc in discs) for discs in inside),
        max(sum(disc in suspects for disc in discs) for discs in inside),
    )


def single_stamper_plant(rng):
    """Two lots pressed in part with stamper T1, mounted twice, and a hidden stroke at which it broke.

    Returns:
        Records with judgements that agree with the onset, the lots' floors, and T1's life: (lot, stroke) pairs in
        the order it made them.
    """
    floors = {lot: one_stage_floor(rng, lot) for lot in ("L1", "L2")}
    cuts = {lot: rng.randint(1, floor.discs) for lot, floor in floors.items()}
    life = [("L1", stroke) for stroke in range(1, cuts["L1"] + 1)]
    life += [("L2", stroke) for stroke in range(cuts["L2"], floors["L2"].discs + 1)]
    made = cuts["L1"]
    records = MemoryRecords(
        tools=[
            ToolFact("T1", "stamper", None, "M1", "A", ""),
            ToolFact("T2", "stamper", None, "M1", "A", ""),
        ],
        lots=[
            LotFact(lot, "9520000012342", 1, "Moth Parliament", "W1", f.discs, "")
            for lot, f in floors.items()
        ],
        segments=[
            SegmentFact("L1", 1, made, "W1", "T1", "T9", 0, 0, "C1", "E1", "E2", 1),
            SegmentFact("L1", made + 1, floors["L1"].discs, "W1", "T2", "T9", 0, 0, "C1", "E1", "E2", 2),
            SegmentFact("L2", 1, cuts["L2"] - 1, "W1", "T2", "T9", 50, 0, "C1", "E1", "E2", 3),
            SegmentFact("L2", cuts["L2"], floors["L2"].discs, "W1", "T1", "T9", made, 0, "C1", "E1", "E2", 4),
        ],
        movements=[move for floor in floors.values() for move in floor.movements],
    )
    onset = rng.randint(1, len(life) + 1)
    for position in rng.sample(range(1, len(life) + 1), rng.randint(0, min(3, len(life)))):
        lot, stroke = life[position - 1]
        good = position < onset
        records.judgements.append(
            JudgementFact(f"S{position}", lot, stroke, good, None if good else "scratch", 100 + position)
        )
    return records, floors, life
