"""Bounds of random days, whatever they were booked in, against every way the single discs may have gone."""

import random

import pytest
from support_campaign import tries
from support_days import LOT, booked_order, endings, random_day, records_of
from support_genealogy import extremes
from support_network import suspects_of
from support_plant import Floor, n
from support_station_days import LOT as LOT_AT_STATIONS
from support_station_days import DayAtStations

from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.store.records.sql_records import SqlRecords

DAYS = tries(40)
"""Days per block."""

PLAYED = max(3, DAYS // 20)
"""Days per block that are played at stations, some 80 scans each."""


@pytest.mark.parametrize("block", range(2))
def test_every_bound_is_an_extreme_and_called_so(block):
    """Samples from anywhere, several returns, loose ones by logs in any order, undos: exact, and never more than that."""
    rng = random.Random(9000 + block)
    for _ in range(DAYS):
        day = random_day(rng)
        records = records_of(day, booked_order(day, rng))
        proven, possible = suspects_of(rng, day.discs)
        held = lot_holdings(records, LOT, StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible))
        assert held.conflicts == (), (day.events, records.movements)
        states = endings(day)
        places = sorted({place for state in states for place in state})
        for size in (1, 1, 2, 3):
            wanted = rng.sample(places, min(size, len(places)))
            bound = held.bound(wanted)
            expected = extremes(states, wanted, proven, proven | possible)
            assert (bound.least, bound.most) == expected, (day.events, records.movements, wanted)
            assert bound.tight, (day.events, records.movements, wanted)


@pytest.mark.parametrize("block", range(2))
def test_days_played_at_stations_give_the_same(block):
    """The same through real logs: what was scanned, booked in any order, against every way the discs may have gone."""
    rng = random.Random(9500 + block)
    for _ in range(PLAYED):
        # Which number is missing nobody can tell: two counts of a numbered edition change nothing.
        day = random_day(rng, most_undone=1, carton_size=4, counted_short=False)
        floor = Floor.copy()
        played = DayAtStations(day, floor)
        played.play(booked_order(day, rng))
        proven, possible = suspects_of(rng, day.discs)
        with floor.ledger.reading() as conn:
            sets = StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible)
            held = lot_holdings(SqlRecords(conn), n(LOT_AT_STATIONS), *sets)
            assert held.conflicts == (), day.events
            states = endings(day)
            places = sorted({place for state in states for place in state})
            for size in (1, 1, 2, 3):
                wanted = rng.sample(places, min(size, len(places)))
                bound = held.bound([played.place(place) for place in wanted])
                expected = extremes(states, wanted, proven, proven | possible)
                assert (bound.least, bound.most) == expected, (day.events, wanted)
                assert bound.tight, (day.events, wanted)
