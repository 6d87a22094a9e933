"""Larger random histories, and two views of them that share nothing with the program: enumeration and single discs."""

import itertools
from dataclasses import replace

from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array
from support_genealogy import AT, Floor
from support_memory import MemoryRecords

from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.model.facts import ContainerFact, LotFact, MovementFact, NestFact, ShipmentFact
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.closed_sets import DiscPlace

PLACES = ("K1", "K2", "K3", "C1", "C2", "C3", "R1", DiscPlace.SCRAP)


def holdings_of(discs, movements, proven, possible, lot="L1"):
    """What the program makes of a lot."""
    records = MemoryRecords(
        lots=[LotFact(lot, "9520000012342", 1, "Moth Parliament", "W1", discs, "")], movements=list(movements)
    )
    return lot_holdings(records, lot, StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible))


def middle_floor(rng, lot="L1", discs=(14, 30), moves=(8, 16)):
    """Stacks, a table for rework, cartons that are merged and part-filled, reads after mixing, ranges cut through."""
    floor = Floor(rng, lot, rng.randint(*discs))
    for _ in range(rng.randint(*moves)):
        source = rng.choice(floor.occupied())
        target = rng.choice([name for name in PLACES if name != source])
        kind = rng.random()
        if source == DiscPlace.COUNTER and kind < 0.7:
            floor.stack(target, rng.randint(3, 9))
        elif kind < 0.2:
            floor.read(source, target, min(rng.randint(1, 2), len(floor.at(source))))
        elif kind < 0.4:
            floor.partly(source, target)
        elif kind < 0.5:
            floor.pick(source, target, len(floor.at(source)))
        else:
            floor.pick(source, target, rng.randint(1, (1 + len(floor.at(source))) // 2))
    return floor


def suspects_of(rng, discs):
    """Proven and possible strokes: mostly from an onset, else scattered."""
    if rng.random() < 0.6:
        good = rng.randint(0, discs)
        bad = rng.randint(good + 1, discs + 1)
        return set(range(bad, discs + 1)), set(range(good + 1, bad))
    suspects = {disc for disc in range(1, discs + 1) if rng.random() < 0.5}
    proven = {disc for disc in suspects if rng.random() < 0.5}
    return proven, suspects - proven


class SingleDiscs:
    """The history as an integer program with one unknown of 0 or 1 for each disc and movement.

    Source: the meaning of a movement (its docstring), written down disc by disc; solved by HiGHS.
    """

    def __init__(self, discs, movements):
        self.discs, self.movements = discs, movements
        self.rows, self.low, self.high = [], [], []
        for number, move in enumerate(movements):
            able = [
                disc for disc in range(discs) if move.first is None or move.first <= disc + 1 <= move.last
            ]
            self._row({self._x(disc, number): 1 for disc in able}, move.quantity, move.quantity)
            barred = set(range(discs)) - set(able)
            if barred:
                self._row({self._x(disc, number): 1 for disc in barred}, 0, 0)
            for disc in able:
                self._row(
                    {self._x(disc, number): 1, **self._gone(disc, number, move.source)},
                    -self.discs,
                    int(move.source == DiscPlace.COUNTER),
                )

    def _x(self, disc, number):
        return disc * len(self.movements) + number

    def _gone(self, disc, until, place):
        """How often a disc left a place before a movement, less how often it came."""
        return {
            self._x(disc, number): (move.source == place) - (move.target == place)
            for number, move in enumerate(self.movements[:until])
            if place in (move.source, move.target)
        }

    def _row(self, terms, low, high):
        self.rows.append(terms)
        self.low.append(low)
        self.high.append(high)

    def best(self, places, suspects, sign):
        """The most (1) or the least (-1) suspects in the places; None if the history cannot be true."""
        goal = [0] * (self.discs * len(self.movements))
        start = 0
        for disc in (one - 1 for one in suspects):
            for place in places:
                start += place == DiscPlace.COUNTER
                for column, value in self._gone(disc, len(self.movements), place).items():
                    goal[column] += sign * value
        pairs = [(row, column) for row, terms in enumerate(self.rows) for column in terms]
        values = [value for terms in self.rows for value in terms.values()]
        matrix = csr_array((values, tuple(zip(*pairs, strict=True))), shape=(len(self.rows), len(goal)))
        found = milp(
            goal,
            constraints=LinearConstraint(matrix, self.low, self.high),
            integrality=[1] * len(goal),
            bounds=Bounds(0, 1),
        )
        return None if found.status == 2 else start - sign * round(found.fun)


def can_be_true(discs, movements, believed):
    """Whether the believed movements (by number) can be true while the others carried any number of any discs."""
    states = {(DiscPlace.COUNTER,) * discs}
    for number, move in enumerate(movements):
        sure = number in believed
        reached = set()
        for state in states:
            here = [
                disc
                for disc, place in enumerate(state, 1)
                if place == move.source
                and (not sure or move.first is None or move.first <= disc <= move.last)
            ]
            for count in [move.quantity] if sure else range(len(here) + 1):
                for chosen in itertools.combinations(here, count):
                    after = list(state)
                    for disc in chosen:
                        after[disc - 1] = move.target
                    reached.add(tuple(after))
        states = reached
    return bool(states)


def loose_plant(rng):
    """Cartons that were packed from stacks and sent, and discs that came back from whichever of them, then went on.

    Returns:
        Records of the lot, its discs, and what enumeration must know: which cartons had been sent by each entry.
    """
    floor = Floor(rng, "L1", rng.randint(4, 7))
    floor.stack("K1", rng.randint(2, 4))
    if rng.random() < 0.5:
        floor.stack("K2", 2)
    for _ in range(rng.randint(2, 4)):
        source = rng.choice(
            [name for name in floor.occupied() if name in ("K1", "K2", DiscPlace.COUNTER)]
            or [DiscPlace.COUNTER]
        )
        if floor.at(source):
            floor.pick(source, rng.choice(["C1", "C2"]), rng.randint(1, len(floor.at(source))))
    cartons = [name for name in ("C1", "C2") if floor.at(name)]
    sent = [name for name in cartons if rng.random() < 0.8] or cartons
    seq = len(floor.movements) + 1
    nests = [NestFact(name, "D1", seq, None) for name in sent]
    movements = list(floor.movements)
    there = [disc for name in sent for disc in floor.at(name)]
    for number in range(rng.randint(1, 2)):
        count = min(len(there), rng.randint(1, 2))
        if not count:
            break
        there = there[count:]
        at = seq + 1 + 2 * number
        movements.append(MovementFact(at, 0, "L1", count, DiscPlace.CUSTOMERS, "returned", None, None, AT))
        movements.append(MovementFact(at, 1, "L1", count, "returned", "return 1", None, None, AT))
    if rng.random() < 0.5 and len(movements) > len(floor.movements):
        movements.append(MovementFact(seq + 9, 0, "L1", 1, "return 1", "K9", None, None, AT))
    records = MemoryRecords(
        lots=[LotFact("L1", "9520000012342", 1, "Moth Parliament", "W1", floor.discs, "")],
        movements=movements,
        nests=nests,
        containers=[
            *(ContainerFact(name, "carton", "closed", "") for name in cartons),
            ContainerFact("D1", "shipment", "shipped", ""),
        ],
        shipments=[ShipmentFact("D1", "O1", "Example Shop 1", "NO", AT, seq + 1)],
        journal_head=(100, "ab" * 32),
    )
    return records, floor.discs, sent


def loose_assignments(discs, movements, sent):
    """Every way the single discs may have gone, where customers give up discs of any carton that was sent."""
    states = {(DiscPlace.COUNTER,) * discs}
    for move in movements:
        reached = set()
        for state in states:
            able = sent if move.source == DiscPlace.CUSTOMERS else (move.source,)
            here = [disc for disc, place in enumerate(state, 1) if place in able]
            here = [disc for disc in here if move.first is None or move.first <= disc <= move.last]
            for chosen in itertools.combinations(here, move.quantity):
                after = list(state)
                for disc in chosen:
                    after[disc - 1] = move.target
                reached.add(tuple(after))
        states = reached
    return states


def spoiled(rng, floor):
    """One movement of a history changed, so that it may not be true any more."""
    number = rng.randrange(len(floor.movements))
    move = floor.movements[number]
    kind = rng.random()
    if kind < 0.4:
        move = replace(move, quantity=move.quantity + rng.randint(1, 2))
    elif kind < 0.7 and move.first is not None:
        stroke = rng.randint(1, floor.discs)
        move = replace(move, first=stroke, last=min(floor.discs, stroke + move.quantity - 1))
    else:
        move = replace(move, source=rng.choice([name for name in ("K1", "K2", "C1") if name != move.target]))
    return [*floor.movements[:number], move, *floor.movements[number + 1 :]]
