"""Random histories of the lab: every new kind of entry is rebuilt, judged again, balanced and bounded.

`RUNOUT_CAMPAIGN=100` plays two hundred of them instead of two.
"""

import random
from functools import cache

import pytest
from sqlalchemy import select
from support_campaign import seeds
from support_histories import History
from support_lab_histories import LAB_KINDS, lab_history
from support_network import SingleDiscs, suspects_of
from support_plant import MATRICES, n, stamper

from runout import ContainmentQuery, Shape
from tracelink.balance.lot import lot_balance
from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.services.containment import scope_of
from tracelink.store.database.tables import SHADOW
from tracelink.store.database.tables_stations import spool
from tracelink.store.journal.rebuild import rebuild
from tracelink.store.records.balance_facts import lot_records
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.judge_again import judge_again

SCANS = 350
DISCS = 60
"""Discs of lot 1."""
TABLES = (*SHADOW, spool)
SEEDS = seeds((1, 2))


@cache
def _played(seed) -> History:
    made = lab_history(seed)
    made.run(SCANS)
    return made


@pytest.fixture(scope="module", params=SEEDS)
def played(request):
    return _played(request.param)


def dump(conn):
    return {table.name: sorted(map(repr, conn.execute(select(table)))) for table in TABLES}


def test_every_kind_of_the_lab_is_reached():
    reached = {kind for seed in SEEDS for kind in _played(seed).floor.kinds()}
    assert sorted(LAB_KINDS - reached) == []


def test_a_rebuild_gives_the_very_same_rows(played):
    with played.floor.ledger._engine.begin() as conn:
        before = dump(conn)
        rebuild(conn)
        assert dump(conn) == before, played.shown()


def test_every_entry_follows_from_its_scans(played):
    with played.floor.ledger.reading() as conn:
        assert judge_again(conn).faults == (), played.shown()


def test_no_place_is_below_nothing_and_the_balance_says_what_was_sorted_out(played):
    rows = played.floor.rows
    assert rows("SELECT * FROM stock WHERE quantity < 0") == []
    assert rows("SELECT * FROM carton WHERE units < 0") == []
    with played.floor.ledger.reading() as conn:
        found = lot_balance(lot_records(conn, n("L1")))
    [(stacks,)] = rows("SELECT COALESCE(SUM(bad), 0) FROM sorting")
    [(places,)] = rows("SELECT COALESCE(SUM(bad), 0) FROM place_sorting")
    told = sum(
        term.quantity
        for line in found.lines
        if line.name == "scrap"
        for term in line.came
        if term.name == "sorted out"
    )
    assert told == stacks + places, played.shown()


def test_the_bounds_of_the_stamper_hold_all_that_was_pressed_with_it(played):
    """All of lot 1 was; a fault that comes and goes clears no disc but the ones that were judged good."""
    with played.floor.ledger.reading() as conn:
        query = ContainmentQuery(n(stamper(MATRICES[0])), Shape.INTERMITTENT)
        scope = scope_of(SqlRecords(conn), query)
    assert all(0 <= held.least <= held.most <= held.pieces for held in scope.containers), played.shown()
    [(good,)] = played.floor.rows(
        "SELECT COUNT(DISTINCT sample) FROM judgement WHERE corrected_by IS NULL AND good = 1"
    )
    there = sum(held.pieces for held in scope.containers)
    assert there - good <= sum(held.most for held in scope.containers) <= there, played.shown()


def test_bounds_of_what_was_sorted_equal_an_integer_program_of_single_discs(played):
    """Discs that SORT threw out left a stack, a carton or a return as some of those there, in the very history that stations booked."""
    with played.floor.ledger.reading() as conn:
        records = SqlRecords(conn)
        movements = [move for move in records.movements_of(n("L1")) if move.quantity]
        places = sorted({place for move in movements for place in (move.source, move.target)})
        rng = random.Random(len(movements))
        single = SingleDiscs(DISCS, movements)
        for _ in range(2):
            proven, possible = suspects_of(rng, DISCS)
            strokes = StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible)
            held = lot_holdings(records, n("L1"), *strokes)
            for asked in ([DiscPlace.SCRAP], rng.sample(places, 2)):
                bound = held.bound(asked)
                expected = single.best(asked, proven, -1), single.best(asked, proven | possible, 1)
                if held.conflicts:
                    # Somebody sampled a disc out of a stack that it cannot have been on, which is booked as it was said.
                    assert (expected, bound.tight) == ((None, None), False), (asked, played.shown())
                    continue
                assert (bound.least, bound.most) == expected, (asked, played.shown())
                assert bound.tight, (asked, played.shown())
