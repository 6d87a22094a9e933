"""The one rule of what counts as late, just on its limits and beside them; every report follows it."""

import csv
import json

import pytest
from support_cli import run
from support_plant import Floor, n

from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.press import DiscsScrapped
from tracelink.ledger.lateness import Lateness, lateness

HAPPENED = "2031-03-04T09:00:00.500+01:00"


@pytest.mark.parametrize(
    ("recorded", "expected"),
    [
        ("2031-03-04T09:00:00Z", Lateness.IN_TIME),
        # 09:00:00.5 there is 08:00:00.5 UTC: 09:00:00Z is 59 minutes 59.5 seconds after it.
        ("2031-03-04T09:00:01Z", Lateness.LATE),
        ("2031-03-04T08:00:00Z", Lateness.IN_TIME),
        ("2031-03-04T07:59:01Z", Lateness.IN_TIME),
        ("2031-03-04T07:59:00Z", Lateness.EARLY),
    ],
)
def test_an_hour_is_in_time_and_half_a_second_more_is_late(recorded, expected):
    assert lateness(HAPPENED, recorded, 60) is expected


def test_just_on_the_limit_is_in_time():
    assert lateness("2031-03-04T09:00:00+01:00", "2031-03-04T09:00:00Z", 60) is Lateness.IN_TIME
    assert lateness("2031-03-04T09:00:00+01:00", "2031-03-04T07:59:00Z", 60) is Lateness.IN_TIME


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """Three discs thrown out an hour, an hour and a second, and no time before it was recorded."""
    floor = Floor.copy()
    floor.press(1)
    with floor.ledger.writing() as booking:
        for recorded in ("08:00:00", "08:00:01", "07:00:00"):
            moved = Moved(n("L1"), 1, n("K11"), DiscPlace.SCRAP, None, None)
            stamp = Stamp("2031-03-03T08:00:00+01:00", f"2031-03-03T{recorded}Z", person=n("P1"))
            booking.record(DiscsScrapped(moved), stamp, "scratched")
    return floor.saved(tmp_path_factory.mktemp("late") / "plant.db")


def test_findings_trace_scope_and_bundle_name_the_same_entry(place, tmp_path):
    def told(*words):
        return json.loads(run(*words, "--format", "json", ledger=place).out)

    # What is listed beside it is told for its recording time, which runs back or jumps.
    (late,) = [
        one for one in told("findings", "--late") if not one["clock"] or one["recorded"].endswith("08:00:01Z")
    ]
    assert (late["recorded"], late["minutes"]) == ("2031-03-03T08:00:01Z", 60)
    assert [one["entry"] for one in told("trace", n("L1"))["late"]] == [late["entry"]]
    scope = told("contain", n("L1"), "--shape", "whole-life")
    assert [one["entry"] for one in scope["document"]["quality"]["late"]] == [late["entry"]]
    folder = tmp_path / "lot"
    assert run("audit", "export", n("L1"), "--out", folder, "--unsigned", ledger=place).code == 0
    with (folder / "tables" / "late-entries.csv").open(encoding="utf-8-sig", newline="") as file:
        flagged = [row for row in csv.DictReader(file) if row["flag"] == "late"]
    assert [int(row["entry"]) for row in flagged] == [late["entry"]]
