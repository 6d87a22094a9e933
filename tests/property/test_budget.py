"""A question that is stopped anywhere: its bounds hold, none is called exact that is not, and its file checks."""

import itertools
import random
from dataclasses import replace

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
from tracelink.genealogy.model.facts import JudgementFact, LotFact, ToolFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import StrokeSet

HISTORIES = tries(6)


def stopping_points(rng):
    """Budgets that are used up at one of the first looks at the clock, at one later, and so on until none is short.

    Where there are hundreds of looks, as many points are tried in each eighth of them; the counts have a moment more,
    all of what is left, or nothing.
    """
    looks = 0
    while True:
        looks += 1 + rng.randint(0, looks // 4)
        budget = Budget(looks, itertools.count().__next__, moment=rng.choice((0, 3, 10_000)))
        yield budget
        if not budget.was_short:
            return


def compare(records, suspects, sets, states, rng):
    """Bounds of a lot at every stopping point; returns how many of them were not exact."""
    loose = stops = 0
    proven, possible = suspects
    for budget in stopping_points(rng):
        stops += 1
        with budget:
            held = lot_holdings(
                records, LOT, StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible), budget
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
        loose += compare(records, suspects_of(rng, floor.discs), sets, states, rng)
    assert loose


def test_every_stopping_point_of_a_day_with_returns_and_samples_gives_bounds_that_hold():
    rng = random.Random(7200)
    loose = 0
    for _ in range(HISTORIES):
        day = random_day(rng)
        records = records_of(day, booked_order(day, rng))
        states = endings(day)
        sets = sets_of({place for state in states for place in state}, rng)
        loose += compare(records, suspects_of(rng, day.discs), sets, states, rng)
    assert loose


def mixed_plant(rng):
    return plant(rng, wild_floor)[0]


def plant_in_conflict(rng):
    def make(rng, lot):
        floor = wild_floor(rng, lot)
        floor.movements = spoiled(rng, floor)
        return floor

    return plant(rng, make)[0]


def plant_of_a_day(rng):
    """With samples from anywhere and loose returns."""
    day = random_day(rng)
    records = records_of(day, booked_order(day, rng))
    records.tools.append(ToolFact("T1", "stamper", None, "M1", "A", ""))
    bad = rng.randint(1, day.cut)
    records.judgements.append(JudgementFact("S1", LOT, bad, False, None, 90))
    return records


@pytest.mark.parametrize("make", [mixed_plant, plant_in_conflict, plant_of_a_day])
def test_the_file_of_a_question_that_was_stopped_anywhere_checks(make):
    """Also where its movements conflict, and where the time ends while the certificate is written."""
    rng = random.Random(7300)
    in_part = 0
    for _ in range(HISTORIES):
        records = make(rng)
        for budget in stopping_points(rng):
            scope = contain(records, ContainmentQuery("T1", Shape.FROM_ONSET), budget)
            outcomes = checked(document_of(scope, random.Random(1)), records)
            wrong = [one for one in outcomes if one.verdict is CheckVerdict.FAILS]
            assert not wrong, (wrong, budget.seconds)
            in_part += any(one.verdict is CheckVerdict.ONE_SIDED for one in outcomes)
            if scope.cut_short:
                assert any("were not enough: every limit holds" in gap for gap in scope.gaps)
    assert in_part


@pytest.mark.parametrize("make", [mixed_plant, plant_of_a_day])
def test_a_check_that_is_stopped_anywhere_says_of_each_bound_what_the_whole_check_says_or_nothing(make):
    rng = random.Random(7400)
    left = 0
    for _ in range(HISTORIES):
        records = make(rng)
        document = document_of(contain(records, ContainmentQuery("T1", Shape.FROM_ONSET)), random.Random(1))
        whole = checked(document, records)
        for budget in stopping_points(rng):
            outcomes = checked(document, records, budget)
            assert len(outcomes) == len(whole)
            for found, known in zip(outcomes, whole, strict=True):
                not_looked_at = replace(
                    known, verdict=CheckVerdict.NOT_LOOKED_AT, why="there was no time left for it"
                )
                assert found in (known, not_looked_at)
                left += found == not_looked_at
    assert left
