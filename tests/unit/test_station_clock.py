"""The clock of a station set back, or run ahead: told with the very scan that shows it, kept, and nothing is lost."""

import pytest
from support_judged import judged
from support_pins import rebuilds
from support_plant import LAB, LINE, Floor

from tracelink.store.records.late_entries import late_entries


@pytest.fixture
def floor():
    made = Floor.copy()
    made.press(1)
    made.open_line(1, [11], 1)
    return made


def stepped(floor):
    return floor.read("finding", "finding", "subject", "expected", "found", order="seq")


def test_a_clock_set_back_an_hour_is_told_at_once_and_the_match_counts(floor):
    floor.match(1)
    floor.at = "2031-03-03T07:00:00+01:00"
    floor.play(
        LINE,
        "disc 1.1 -> STOP clock-back; The clock of this station says 2031-03-03 07:00 +01:00; the scan before was at 2031-03-03 08:00 +01:00. The scan was taken...",
    )
    floor.play(LINE, "sleeve 1 -> MATCH [2 of 5 in carton]")
    assert stepped(floor) == [
        ("clock-back", LINE, "a time after 2031-03-03T08:00:00+01:00", "2031-03-03T07:00:00+01:00")
    ]
    rebuilds(floor)
    assert judged(floor).unforced is None


def test_a_minute_and_another_offset_are_no_step(floor):
    floor.at = "2031-03-03T07:59:00+01:00"
    floor.play(LINE, "disc 1.1 -> NEXT")
    floor.at = "2031-03-03T06:59:30+00:00"
    floor.play(LINE, "sleeve 1 -> MATCH")
    assert stepped(floor) == []


def test_a_clock_a_year_ahead_is_told_with_what_was_scanned(floor):
    floor.at = "2032-03-03T08:00:00+01:00"
    floor.play(
        LINE, "disc 1.1 -> STOP clock-ahead; The clock of this station says 2032-03-03 08:00 +01:00; ..."
    )
    floor.play(LINE, "sleeve 1 -> MATCH")
    floor.at = "2031-03-03T08:30:00+01:00"
    floor.play(LINE, "disc 1.1 -> STOP clock-back")
    assert [row[0] for row in stepped(floor)] == ["clock-ahead", "clock-back"]
    rebuilds(floor)
    assert judged(floor).unforced is None


def test_a_station_that_stood_still_while_others_worked_is_not_told(floor):
    floor.ledger._now = lambda: "2031-05-01T07:00:00Z"
    floor.scan(LAB, "P1", "nonsense")
    floor.at = "2031-05-05T08:00:00+01:00"
    floor.play(LINE, "disc 1.1 -> NEXT")
    assert [row[0] for row in stepped(floor)] == ["wrong-symbology"]


def test_a_scan_that_is_refused_tells_both(floor):
    floor.at = "2031-03-03T07:00:00+01:00"
    verdict = floor.scan(LINE, "sleeve 1")
    assert verdict.finding == "no-disc"
    assert "The clock of this station says" in verdict.sentence
    assert [row[0] for row in stepped(floor)] == ["clock-back", "no-disc"]
    assert judged(floor).unforced is None


def test_it_is_listed_among_what_was_recorded_out_of_turn(floor):
    floor.at = "2031-03-03T07:00:00+01:00"
    floor.play(LINE, "disc 1.1 -> STOP clock-back")
    with floor.ledger.reading() as conn:
        found, _older = late_entries(conn, None)
    assert [(one.stamp.kind, one.station_clock[:22]) for one in found if one.station_clock] == [
        ("clock-stepped", "The clock of this stat")
    ]
