"""A wide scope asks only the lots that a set of places concerns: the answer is that of asking every lot."""

import random
from dataclasses import replace

from support_campaign import tries
from support_genealogy import AT, wild_floor
from support_memory import MemoryRecords

from tracelink.genealogy.containment.held import ContainerBound, alike_containers, places_by_code, places_in
from tracelink.genealogy.containment.holdings import StrokeHoldings, lot_holdings
from tracelink.genealogy.flow.pool_bounds import Bound, together
from tracelink.genealogy.model.facts import JudgementFact, LotFact, MovementFact
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.closure import Axis, Stretch
from tracelink.genealogy.suspects.evidence import by_axis, judged_on
from tracelink.ledger.closed_sets import DiscPlace

LOTS = [f"L{number}" for number in range(1, 6)]
EVERYWHERE = ["K1", "K2", "C1", "C2", "R1", "hall C1", "hall C2", "hall K1", "nowhere", *DiscPlace]


def _moved(rng, lot):
    """The movements of one lot; some lots use places of their own, some contradict, some had discs back loose."""
    floor = wild_floor(rng, lot)
    own = "hall " if rng.random() < 0.4 else ""

    def named(place):
        return place if place in set(DiscPlace) else own + place

    moves = [replace(one, source=named(one.source), target=named(one.target)) for one in floor.movements]
    if rng.random() < 0.3:
        number = rng.randrange(len(moves))
        moves[number] = replace(moves[number], quantity=moves[number].quantity + 3, first=None, last=None)
    if rng.random() < 0.3:
        moves.append(
            MovementFact(
                len(moves) + 1, 0, lot, 1, DiscPlace.CUSTOMERS, rng.choice(["R1", "C1"]), None, None, AT
            )
        )
    return floor.discs, moves


def _holdings(rng):
    records = MemoryRecords()
    for lot in LOTS:
        discs, moves = _moved(rng, lot)
        records.lots.append(LotFact(lot, "9520000000011", 1, "Moth Parliament", "W1", discs, ""))
        records.movements += moves
    found = {}
    for lot in LOTS:
        strokes = range(1, records.lot(lot).pressed + 1)
        onset = rng.choice(strokes)
        proven = StrokeSet.from_strokes(stroke for stroke in strokes if stroke > onset + 1)
        possible = StrokeSet.from_strokes(stroke for stroke in strokes if onset <= stroke <= onset + 1)
        found[lot] = lot_holdings(records, lot, proven, possible)
    holdings = StrokeHoldings(found)
    holdings.mark_unclaimed(rng.sample(EVERYWHERE, rng.choice([0, 0, 1])))
    return holdings


def test_asking_the_lots_concerned_is_asking_every_lot():
    plain = lots = 0
    for seed in range(tries(12)):
        rng = random.Random(seed)
        holdings = _holdings(rng)
        for _ in range(8):
            places = set(rng.sample(EVERYWHERE, rng.randint(0, 4)))
            every = together(holdings.of_lot(lot, places) for lot in LOTS)
            assert holdings.bound(places) == every, (seed, places)
        lots += len(LOTS)
        plain += sum(held.is_plain for held in holdings.lots.values())
    # Lots of both kinds must come up, or the test shows nothing about one of them.
    assert 0 < plain < lots


def test_the_containers_behind_each_code_are_those_found_one_code_at_a_time():
    nothing = Bound(1, 0, 1, None, tight=True)
    for seed in range(tries(50)):
        rng = random.Random(seed)
        names = ["A", "B", "C", "D", "E"]
        held = [
            ContainerBound(
                rng.choice(names),
                "carton",
                "closed",
                "L1",
                nothing,
                tuple(rng.sample(names, rng.randint(0, 2))),
                rng.choice(["", "A", "Example Records"]),
                shipped=False,
            )
            for _ in range(rng.randint(0, 6))
        ]
        by_code = places_by_code(alike_containers(held))
        stood_in = {code for one in held for code in (one.consignee, *one.parents)}
        for code in (*names, "Example Records"):
            assert by_code.get(code, set()) == (places_in(held, [code]) if code in stood_in else set())


def test_sets_of_many_spans_are_sets():
    for seed in range(tries(60)):
        rng = random.Random(seed)
        one, other = (
            {rng.randint(1, rng.choice([20, 400])) for _ in range(rng.choice([1, 3, 120]))} for _ in range(2)
        )
        ours, theirs = StrokeSet.from_strokes(one), StrokeSet.from_strokes(other)
        assert set(ours & theirs) == one & other
        assert set(ours - theirs) == one - other
        assert ours & theirs == StrokeSet.from_strokes(one & other)
        assert ours - theirs == StrokeSet.from_strokes(one - other)


def test_judgements_near_an_axis_are_those_that_speak_about_it():
    told = 0
    for seed in range(tries(30)):
        rng = random.Random(seed)
        axes = [
            Axis(
                f"T{number}",
                "stamper",
                tuple(
                    Stretch(lot, StrokeSet.between(1, rng.randint(1, 20)), rng.randint(0, 30))
                    for lot in rng.sample(LOTS, rng.randint(0, 3))
                ),
                ordered=True,
            )
            for number in range(3)
        ]
        judgements = [
            JudgementFact(
                f"S{number}",
                rng.choice(LOTS),
                rng.randint(1, 25),
                rng.random() < 0.5,
                None,
                rng.randint(1, 3),
            )
            for number in range(30)
        ]
        for axis, near in zip(axes, by_axis(axes, judgements), strict=True):
            assert judged_on(axis, near, None) == judged_on(axis, judgements, None)
            told += len(near)
    assert told
