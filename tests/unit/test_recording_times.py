"""Recording times run on; where they run back, or jump further than a plant is ever closed, the entry is named."""

from datetime import timedelta

import pytest
from sqlalchemy import create_engine, text
from support_plant import Floor

from tracelink.errors import NotCanonical
from tracelink.ledger.entry import FIRST_PREV, Entry, Stamp, read_entry
from tracelink.ledger.recording_times import ClockLimits, RecordingTimes
from tracelink.store.journal import journal
from tracelink.store.records.entry_stamps import entry_times
from tracelink.store.records.settings import clock_limits


def steps(*times, limits=None):
    """What recording times show, one entry after the other."""
    looked = RecordingTimes(limits or ClockLimits())
    entries = [
        Entry(seq, Stamp("2031-03-03T08:00:00+01:00", time), "signed-on", {}, FIRST_PREV)
        for seq, time in enumerate(times, 1)
    ]
    return [step for entry in entries for step in looked.entry(entry)]


@pytest.mark.parametrize(
    "times",
    [
        ("2031-03-03T08:00:00Z",) * 3,
        # Two machines of one plant, a minute apart.
        ("2031-03-03T08:01:00Z", "2031-03-03T08:00:00Z"),
        # A plant that was closed for a month.
        ("2031-03-03T08:00:00Z", "2031-04-02T08:00:00Z"),
    ],
)
def test_times_that_run_on_are_not_told(times):
    assert steps(*times) == []


def test_the_limits_are_those_of_the_plant():
    an_hour_back = ("2031-03-03T08:00:00Z", "2031-03-03T07:00:00Z")
    assert len(steps(*an_hour_back)) == 1
    assert steps(*an_hour_back, limits=ClockLimits(back=timedelta(minutes=60))) == []
    two_days = ("2031-03-03T08:00:00Z", "2031-03-05T08:00:01Z")
    assert steps(*two_days) == []
    assert len(steps(*two_days, limits=ClockLimits(ahead=timedelta(days=2)))) == 1


def test_the_limits_are_settings_with_defaults():
    floor = Floor.copy()
    with floor.ledger.reading() as conn:
        assert clock_limits(conn) == ClockLimits() == ClockLimits(timedelta(minutes=1), timedelta(days=30))
    with floor.ledger.transaction() as conn:
        for name, value in (("clock_back_minutes", 90), ("clock_ahead_days", 7)):
            conn.execute(text("DELETE FROM setting WHERE name = :name"), {"name": name})
            conn.execute(
                text("INSERT INTO setting VALUES (:name, :value, 'our clocks')"),
                {"name": name, "value": value},
            )
    with floor.ledger.reading() as conn:
        assert clock_limits(conn) == ClockLimits(timedelta(minutes=90), timedelta(days=7))


def test_a_time_that_runs_back_is_told_once():
    [step] = steps(
        "2031-03-03T08:00:00Z", "2031-03-03T08:02:01Z", "2031-03-03T08:00:00Z", "2031-03-03T08:00:01Z"
    )
    assert step.sentence == (
        "entry 3 (signed-on) was recorded 2031-03-03T08:00:00Z, 2 minutes before the entry before it "
        "(2031-03-03T08:02:01Z): the clock was set back or had run ahead, machines disagree, or a time was made up"
    )


def test_a_time_that_jumps_is_told_and_so_is_the_way_back():
    ahead, back = steps("2031-03-03T08:00:00Z", "2032-03-03T08:00:00Z", "2031-03-03T08:00:30Z")
    assert (ahead.seq, ahead.short) == (2, "366 days after the entry before it")
    assert ahead.sentence.endswith("the clock jumped ahead, or nothing was recorded for so long")
    assert (back.seq, back.short) == (3, "365 days before the entry before it")


def test_number_kind_and_times_of_every_entry_are_those_of_the_entries():
    floor = Floor.copy()
    floor.press(1)
    with floor.ledger.reading() as conn:
        entries = [read_entry(row.canonical) for row in journal.rows(conn)]
        assert len(entries) > 20
        assert list(entry_times(conn)) == [
            (entry.seq, entry.kind, entry.stamp.event_time, entry.stamp.recorded_at) for entry in entries
        ]


@pytest.mark.parametrize("content", [b"{", b"[]", b"7", b"{}", b"\xff", b"\x01", b"\x01" * 40])
def test_an_entry_that_cannot_be_read_is_named(content):
    with create_engine("sqlite://").connect() as conn:
        conn.execute(text("CREATE TABLE journal (seq INTEGER, kind TEXT, stored BLOB)"))
        conn.execute(text("INSERT INTO journal VALUES (7, 'signed-on', :content)"), {"content": content})
        with pytest.raises(NotCanonical, match="entry 7 cannot be read: see `runout audit verify`"):
            list(entry_times(conn))
