"""Containment against brute force: every assignment of single discs on small random plants.

Source: complete enumeration, written here independently of the arithmetic under test.
"""

import itertools
import random

import pytest
from support_genealogy import assignments, extremes, one_stage_floor, wild_floor

from tracelink.genealogy.bounds import LotBounds
from tracelink.genealogy.replay import replay
from tracelink.genealogy.strokes import StrokeSet


PLANTS = 700
"""Plants per block; eight blocks take some six seconds."""


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
