"""Containment against brute force: every assignment of single discs on small random plants.

Source: complete enumeration, written here independently of the arithmetic under test.
"""

import itertools
import random

import pytest
from support_asking import contain
from support_campaign import tries
from support_genealogy import assignments, extremes, one_stage_floor, single_stamper_plant, wild_floor

from tracelink.genealogy.containment.scope import bounds_of
from tracelink.genealogy.flow.follow import replay
from tracelink.genealogy.flow.pool_bounds import LotBounds
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import StrokeSet

PLANTS = tries(150)
"""Plants per block."""


def _tiers(rng, discs):
    """Proven and possible strokes as an unknown onset leaves them, or scattered ones."""
    if rng.random() < 0.7:
        good = rng.randint(0, discs)
        bad = rng.randint(good + 1, discs + 1)
        return set(range(bad, discs + 1)), set(range(good + 1, bad))
    suspects = {disc for disc in range(1, discs + 1) if rng.random() < 0.5}
    proven = {disc for disc in suspects if rng.random() < 0.5}
    return proven, suspects - proven


def _compare(floor, rng):
    """Yield (our bound, brute force) for every place and every pair and triple of places."""
    history = replay(floor.lot, StrokeSet.between(1, floor.discs), floor.movements)
    assert history.conflicts == []
    proven, possible = _tiers(rng, floor.discs)
    bounds = LotBounds(history, StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible))
    states = assignments(floor.discs, floor.movements)
    for size in (1, 2, 3):
        for places in itertools.combinations(sorted(history.at), size):
            bound = bounds.of(history.at[place] for place in places)
            yield bound, extremes(states, places, proven, proven | possible), places
    assert sum(lump.count for lump in history.at.values()) == floor.discs


@pytest.mark.parametrize("block", range(4))
def test_one_stage_bounds_are_reached_by_some_assignment(block):
    """Every place and every set of places: least and most equal the extremes over all assignments."""
    rng = random.Random(1000 + block)
    for _ in range(PLANTS):
        floor = one_stage_floor(rng)
        for bound, (least, most), places in _compare(floor, rng):
            assert (bound.least, bound.most) == (least, most), (floor.movements, places)
            assert bound.tight, (floor.movements, places)


@pytest.mark.parametrize("block", range(4))
def test_bounds_of_any_history_hold_and_are_exact_where_called_tight(block):
    """Mixtures, reads after mixing, partial ranges, returns: never too narrow; `tight` never claims too much."""
    rng = random.Random(2000 + block)
    tight = total = 0
    for _ in range(PLANTS):
        floor = wild_floor(rng)
        for bound, (least, most), places in _compare(floor, rng):
            assert bound.least <= least, (floor.movements, places)
            assert bound.most >= most, (floor.movements, places)
            total += 1
            if bound.tight:
                tight += 1
                assert (bound.least, bound.most) == (least, most), (floor.movements, places)
    # The claim would be empty if hardly anything were called tight.
    assert tight > total / 2


def _onsets(records, life):
    """The onsets that agree with every judgement, one past the end meaning that T1 has not broken yet."""
    position = {disc: at for at, disc in enumerate(life, 1)}
    for onset in range(1, len(life) + 2):
        if all(
            judgement.good == (position[judgement.lot, judgement.stroke] < onset)
            for judgement in records.judgements
        ):
            yield set(life[onset - 1 :])


def _affected(states, bad, lot, places):
    inside = [[(lot, disc) for disc, place in enumerate(state, 1) if place in places] for state in states]
    return [sum(disc in bad for disc in discs) for discs in inside]


@pytest.mark.parametrize("block", range(2))
def test_a_whole_containment_equals_all_onsets_times_all_assignments(block):
    """Tiers by enumerating every onset that fits the judgements, bounds by every onset and every assignment."""
    rng = random.Random(3000 + block)
    for _ in range(PLANTS):
        records, floors, life = single_stamper_plant(rng)
        scope = contain(records, "T1", Shape.FROM_ONSET)
        scenarios = list(_onsets(records, life))
        everywhere, somewhere = set.intersection(*scenarios), set.union(*scenarios)
        expected = {
            "proven": everywhere,
            "possible": somewhere - everywhere,
            "cleared": set(life) - somewhere,
        }
        for name, discs in expected.items():
            assert discs == {
                (tier.lot, stroke) for tier in scope.tiers if tier.name == name for stroke in tier.strokes
            }
        _compare_places(scope, floors, scenarios)


def _compare_places(scope, floors, scenarios):
    followed = {held.lot for held in scope.containers}
    states = {lot: assignments(floor.discs, floor.movements) for lot, floor in floors.items()}
    for held in scope.containers:
        counts = [
            count for bad in scenarios for count in _affected(states[held.lot], bad, held.lot, {held.code})
        ]
        assert (held.least, held.most) == (min(counts), max(counts))
        assert held.tight
    codes = sorted({held.code for held in scope.containers})
    for pair in itertools.combinations(codes, 2):
        bound = bounds_of(scope, pair)
        # The lots do not exchange discs, so for one onset their extremes add.
        sums = [
            [pick(_affected(states[lot], bad, lot, set(pair))) for lot in followed for pick in (min, max)]
            for bad in scenarios
        ]
        assert bound.least == min(sum(one[::2]) for one in sums)
        assert bound.most == max(sum(one[1::2]) for one in sums)
    total = scope.places[-1]
    assert sum(place.pieces for place in scope.places[:-1]) == total.pieces
