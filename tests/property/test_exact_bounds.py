"""Bounds through the whole network: against every assignment, and against an integer program of single discs."""

import itertools
import random

import pytest
from support_campaign import tries
from support_genealogy import assignments, extremes, wild_floor
from support_network import (
    SingleDiscs,
    can_be_true,
    holdings_of,
    loose_assignments,
    loose_plant,
    middle_floor,
    spoiled,
    suspects_of,
)

from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.flow.conflict import conflicts_of
from tracelink.genealogy.flow.exact import LEAST, MOST
from tracelink.genealogy.flow.network import NetworkStep
from tracelink.genealogy.flow.proof import ceiling, stocks
from tracelink.genealogy.model.strokes import StrokeSet

PLANTS = tries(20)
"""Plants per block; tests/bench/bounds_campaign.py takes as many as one likes, and larger ones."""


def sets_of(places, rng, sizes=(1, 2, 3), at_most=12):
    found = [frozenset(chosen) for size in sizes for chosen in itertools.combinations(sorted(places), size)]
    return rng.sample(found, min(at_most, len(found)))


@pytest.mark.parametrize("block", range(3))
def test_every_bound_is_an_extreme_over_all_assignments(block):
    """Mixtures, merges, partial ranges, reads after mixing, returns: places and sets; exact and called so."""
    rng = random.Random(5000 + block)
    for _ in range(PLANTS):
        floor = wild_floor(rng)
        proven, possible = suspects_of(rng, floor.discs)
        held = holdings_of(floor.discs, floor.movements, proven, possible)
        assert held.conflicts == ()
        states = assignments(floor.discs, floor.movements)
        for places in sets_of(set(floor.where.values()), rng):
            bound = held.bound(places)
            assert (bound.least, bound.most) == extremes(states, places, proven, proven | possible), (
                floor.movements,
                places,
            )
            assert bound.tight, (floor.movements, places)


@pytest.mark.parametrize("block", range(2))
def test_the_network_alone_gives_the_same_and_proves_it(block):
    """Without the arithmetic of pools: each part's assignment reaches its value, and its prices allow no more."""
    rng = random.Random(6000 + block)
    for _ in range(PLANTS // 2):
        floor = wild_floor(rng)
        proven, possible = suspects_of(rng, floor.discs)
        held = holdings_of(floor.discs, floor.movements, proven, possible)
        states = assignments(floor.discs, floor.movements)
        for places in sets_of(set(floor.where.values()), rng, at_most=6):
            sides = {sign: held.exact.side(places, sign) for sign in (LEAST, MOST)}
            expected = extremes(states, places, proven, proven | possible)
            assert (sides[LEAST].value, sides[MOST].value) == expected, (floor.movements, places)
            for sign, side in sides.items():
                network = held.exact.network(sign).network
                for part, extreme in side.parts:
                    left = stocks(network, part, extreme.moved)
                    assert sum(count for place, count in left.items() if place in places) == extreme.value
                    assert extreme.tight
                    if extreme.prices is not None:
                        allowed = ceiling(network, part, extreme.prices, extreme.per, places, sign)
                        assert allowed == sign * extreme.value


@pytest.mark.parametrize("block", range(2))
def test_bounds_equal_an_integer_program_of_single_discs(block):
    """Histories too large to enumerate, against one unknown for each disc and movement."""
    rng = random.Random(7000 + block)
    for _ in range(PLANTS // 2):
        floor = middle_floor(rng)
        proven, possible = suspects_of(rng, floor.discs)
        held = holdings_of(floor.discs, floor.movements, proven, possible)
        single = SingleDiscs(floor.discs, floor.movements)
        for places in sets_of(set(floor.where.values()), rng, at_most=1):
            bound = held.bound(places)
            expected = single.best(places, proven, -1), single.best(places, proven | possible, 1)
            assert (bound.least, bound.most) == expected, (floor.movements, places)
            assert bound.tight


@pytest.mark.parametrize("block", range(2))
def test_loose_discs_came_out_of_some_carton_that_was_sent(block):
    """Every assignment in which each return gave up discs of sent cartons, and no disc is in two places."""
    rng = random.Random(7500 + block)
    for _ in range(PLANTS // 2):
        records, discs, sent = loose_plant(rng)
        proven, possible = suspects_of(rng, discs)
        sets = (StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible))
        held = lot_holdings(records, "L1", *sets)
        states = loose_assignments(discs, records.movements, sent)
        assert states
        assert held.conflicts == ()
        for places in sets_of({place for state in states for place in state}, rng):
            bound = held.bound(places)
            assert (bound.least, bound.most) == extremes(states, places, proven, proven | possible), (
                records.movements,
                places,
            )
            assert bound.tight


def test_histories_that_cannot_be_true_are_told_and_the_conflict_is_one():
    """The named movements cannot be true together whatever the others carried; without any one of them they can."""
    rng = random.Random(8000)
    found = fine = 0
    while found < 20:
        floor = wild_floor(rng, most_discs=6)
        movements = spoiled(rng, floor)
        steps = [NetworkStep.of(move) for move in movements]
        conflicts = conflicts_of(StrokeSet.between(1, floor.discs), steps)
        possible = can_be_true(floor.discs, movements, set(range(len(movements))))
        assert bool(conflicts) != possible, movements
        if possible:
            fine += 1
            continue
        found += 1
        chosen = set(conflicts[0].steps)
        assert conflicts[0].irreducible
        assert not can_be_true(floor.discs, movements, chosen)
        for one in chosen:
            assert can_be_true(floor.discs, movements, chosen - {one})
        held = holdings_of(floor.discs, movements, {1}, set())
        assert held.conflicts
        assert not held.bound(["C1", "K1"]).tight
    assert fine > 5
