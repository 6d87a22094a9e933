"""Tests that narrow a scope alike stand in an order that does not depend on how they were found."""

import itertools

from tracelink.genealogy.containment.next_test import _Choice
from tracelink.genealogy.suspects.lookat import NextTest


def choice(stroke, place, lot="L1", ease=0, reduction=2.0):
    test = NextTest(lot, stroke, place, "spindle", "stacked", (), "T1", 1, 2, 1.5, reduction)
    return _Choice(test, ease)


def test_the_most_telling_comes_first_then_the_easiest_then_by_lot_stroke_and_place():
    wanted = [
        choice(9, "K9", "L9", ease=3, reduction=3.0),
        choice(8, "K8", "L8", ease=1),
        # Any disc of a place comes before those of a stroke, and strokes go by number whatever their place is called.
        choice(None, "K7", ease=2),
        choice(3, "K6", ease=2),
        choice(20, "K5", ease=2),
        choice(20, "K6", ease=2),
        choice(1, "K1", "L2", ease=2),
    ]
    for given in itertools.islice(itertools.permutations(wanted), 0, None, 97):
        assert sorted(given, key=lambda one: one.order) == wanted
