"""The tally of entries: what it keeps is what all of the journal says, whatever the limits are and however many entries there are."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy import text
from support_plant import Floor

from tracelink.ledger.entry import Stamp
from tracelink.ledger.entry_tally import EVERY, times_of
from tracelink.ledger.kinds.warehouse import LocationNamed
from tracelink.ledger.lateness import Lateness, lateness
from tracelink.ledger.recording_times import ClockLimits, RecordingTimes
from tracelink.services.floor import station_views
from tracelink.store.journal import journal, rebuild, tally, verify
from tracelink.store.records.entry_stamps import entry_times

BEGAN = datetime.fromisoformat("2031-03-04T08:00:00+00:00")
LAGS = (0, 59, 60, 61, 3600, 3601, -30, 90_000)
"""Seconds from an event to its recording, over and over."""
STEPS = (5, -1, 0, 70, -61, 86_400, 86_401, 3)
"""Seconds from one recording to the next."""


def at(moment, ending):
    return moment.strftime("%Y-%m-%dT%H:%M:%S") + ending


@pytest.fixture(scope="module")
def floor():
    made = Floor.copy()
    recorded = BEGAN
    with made.ledger.transaction() as conn:
        for number in range(5 * EVERY + 7):
            recorded += timedelta(seconds=STEPS[number % len(STEPS)])
            happened = recorded - timedelta(seconds=LAGS[number // 2 % len(LAGS)])
            stamp = Stamp(at(happened, "+00:00"), at(recorded, "Z"))
            journal.append(conn, journal.NewEntry(LocationNamed(f"Y{number:07d}", "rack"), stamp))
    return made


@pytest.mark.parametrize("minutes", [0, 1, 60, 1440])
@pytest.mark.parametrize("back", [0, 1, 2])
@pytest.mark.parametrize("days", [0, 1, 30])
def test_what_is_kept_tells_what_all_entries_tell(floor, minutes, back, days):
    limits = ClockLimits(timedelta(minutes=back), timedelta(days=days))
    with floor.ledger.reading() as conn:
        looked, late, steps = RecordingTimes(limits), set(), set()
        for seq, kind, happened, recorded in entry_times(conn):
            steps.update(step.seq for step in looked.recorded(seq, kind, recorded))
            if lateness(happened, recorded, minutes) is Lateness.LATE:
                late.add(seq)
        found = list(tally.odd_times(conn, minutes, limits))
    assert {one.seq for one in found if one.is_late(minutes)} == late
    assert {one.seq for one in found if one.is_step(limits)} == steps


def test_a_part_of_a_second_counts_as_late_too():
    after = times_of(7, "2031-03-04T08:00:00.9+00:00", "2031-03-04T09:00:01Z", None)
    assert (after.late_s, after.is_late(60)) == (3601, True)
    assert not times_of(7, "2031-03-04T08:00:01+00:00", "2031-03-04T09:00:01Z", None).is_late(60)


def test_kinds_are_counted_to_the_last_entry(floor):
    with floor.ledger.reading() as conn:
        every = {
            row.kind: row.entries
            for row in conn.execute(text("SELECT kind, COUNT(*) AS entries FROM journal GROUP BY kind"))
        }
        assert tally.kind_counts(conn) == every
        assert sum(every.values()) % EVERY


def test_a_replay_keeps_what_the_stations_kept(floor):
    kept = [text("SELECT * FROM entry_count ORDER BY kind"), text("SELECT * FROM odd_time ORDER BY seq")]
    with floor.ledger.transaction() as conn:
        before = [conn.execute(each).all() for each in kept]
        rebuild.rebuild(conn)
        assert [conn.execute(each).all() for each in kept] == before
    assert all(before)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (
            "UPDATE entry_count SET entries = entries + 1 WHERE kind = 'location-named'",
            "entry_count location-named: entries is ",
        ),
        ("DELETE FROM odd_time", "odd_time "),
    ],
)
def test_a_changed_tally_is_told(floor, change, told):
    with floor.ledger.transaction() as conn:
        held = conn.begin_nested()
        conn.execute(text(change))
        found = verify.examine(conn)
        held.rollback()
    assert any(sentence.startswith(told) for sentence in found.faults), found.faults


def test_an_entry_that_cannot_be_read_stops_no_station(floor, monkeypatch):
    def unreadable(_conn, after):
        raise tally.NotCanonical(f"entry {after + 1} cannot be read")
        yield

    monkeypatch.setattr(tally, "entry_times", unreadable)
    with floor.ledger.transaction() as conn:
        held = conn.begin_nested()
        for number in range(EVERY):
            stamp = Stamp("2031-06-04T08:00:00+00:00", "2031-06-04T08:00:00Z")
            journal.append(conn, journal.NewEntry(LocationNamed(f"Z{number:07d}", "rack"), stamp))
        assert sum(tally.kind_counts(conn).values()) == journal.head(conn).seq
        held.rollback()


def test_the_list_names_the_entry_before_where_the_clock_stepped(floor):
    with floor.ledger.reading() as conn:
        shown = station_views.late_entries(conn, 16)
        times = {seq: recorded for seq, _kind, _happened, recorded in entry_times(conn)}
    steps = [one.step for one in shown.entries if one.step is not None]
    assert steps
    for step in steps:
        assert (step.recorded, step.before) == (times[step.seq], times[step.seq - 1])
