"""A question that is stopped anywhere: its bounds hold, none is called exact that is not, and its file checks."""

import itertools
import random

import pytest
from support_campaign import tries
from support_certificates import checked, document_of, plant
from support_days import LOT, booked_order, endings, random_day, records_of
from support_genealogy import assignments, extremes, wild_floor
from support_memory import MemoryRecords
from support_network import spoiled, suspects_of

from tracelink.genealogy.certificate.bound_check import CheckVerdict
from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.flow.budget import Budget
from tracelink.genealogy.model.facts import LotFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import StrokeSet

HISTORIES = tries(6)


def stopping_points():
    """Budgets that are used up when the clock is looked at for the first time, for the second, and so on."""
    for looks in itertools.count(1):
        budget = Budget(looks, itertools.count().__next__)
        yield budget
        if not budget.was_short:
            return


def compare(records, lot, suspects, sets, states):
    """Bounds of every stopping point; returns how many of them were not exact."""
    loose = stops = 0
    proven, possible = suspects
    for budget in stopping_points():
        stops += 1
        with budget:
            held = lot_holdings(
                records, lot, StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible), budget
            )
            bounds = {places: held.bound(places) for places in sets}
        assert held.conflicts == ()
        for places, bound in bounds.items():
            least, most = extremes(states, places, proven, proven | possible)
            assert bound.least <= least <= most <= bound.most, (records.movements, places, budget.seconds)
            assert not bound.tight or (bound.least, bound.most) == (least, most), (records.movements, places)
            loose += not bound.tight
    assert not loose or stops > 1
    return loose


def sets_of(places, rng):
    found = [frozenset(chosen) for size in (1, 2) for chosen in itertools.combinations(sorted(places), size)]
    return rng.sample(found, min(5, len(found)))


def test_every_stopping_point_of_a_history_gives_bounds_that_hold():
    rng = random.Random(7100)
    loose = 0
    for _ in range(HISTORIES):
        floor = wild_floor(rng)
        records = MemoryRecords(
            lots=[LotFact("L1", "9520000012342", 1, "Moth Parliament", "W1", floor.discs, "")],
            movements=list(floor.movements),
        )
        states = assignments(floor.discs, floor.movements)
        sets = sets_of(set(floor.where.values()), rng)
        loose += compare(records, "L1", suspects_of(rng, floor.discs), sets, states)
    assert loose


def test_every_stopping_point_of_a_day_with_returns_and_samples_gives_bounds_that_hold():
    rng = random.Random(7200)
    loose = 0
    for _ in range(HISTORIES):
        day = random_day(rng)
        records = records_of(day, booked_order(day, rng))
        states = endings(day)
        sets = sets_of({place for state in states for place in state}, rng)
        loose += compare(records, LOT, suspects_of(rng, day.discs), sets, states)
    assert loose


@pytest.mark.parametrize("spoils", [False, True])
def test_the_file_of_a_question_that_was_stopped_anywhere_checks(spoils):
    """Also where its movements conflict, and where the time ends while the certificate is written."""
    rng = random.Random(7300)

    def make(rng, lot):
        floor = wild_floor(rng, lot)
        if spoils:
            floor.movements = spoiled(rng, floor)
        return floor

    in_part = 0
    for _ in range(HISTORIES):
        records, _ = plant(rng, make)
        for budget in stopping_points():
            scope = contain(records, ContainmentQuery("T1", Shape.FROM_ONSET), budget)
            outcomes = checked(document_of(scope, random.Random(1)), records)
            wrong = [one for one in outcomes if one.verdict is CheckVerdict.FAILS]
            assert not wrong, (wrong, budget.seconds)
            in_part += any(one.verdict is CheckVerdict.ONE_SIDED for one in outcomes)
            if scope.cut_short:
                assert any("were not enough: every limit holds" in gap for gap in scope.gaps)
    assert in_part
