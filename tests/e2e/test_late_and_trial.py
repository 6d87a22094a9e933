"""Entries recorded late, judgements in a trace, and a replay that is only tried out."""

import json
import re

import pytest
from support_cli import run, station_log
from support_ledgers import content
from support_plant import LAB, PRESS, Floor, n, raw

from tracelink.store.ledger import Ledger


@pytest.fixture
def place(tmp_path):
    """Lot 1 pressed at 08:00 and recorded at 10:30; its sample judged and recorded in time."""
    floor = Floor(Ledger.open(str(Floor.copy().saved(tmp_path / "plant.db"))))
    floor.ledger._now = lambda: "2031-03-03T09:30:00Z"
    floor.press(1, strokes=20, stacks=1)
    floor.at = "2031-03-03T10:00:00+01:00"
    floor.play(
        LAB,
        'P1 | SAMPLE | L1 | S1 | #3 | K11 | BAD | S1 | "Click | SAMPLE | L1 | S2 | #9 | K11 | GOOD | S2 -> DONE',
    )
    return tmp_path / "plant.db"


def test_a_trace_names_judgements_and_what_was_recorded_late(place):
    shown = run("trace", n("L1"), ledger=place)
    assert (
        f"Samples judged\n{n('S1')}, disc 3 of {n('L1')}: BAD, click\n{n('S2')}, disc 9 of {n('L1')}: good\n"
        in shown.out
    )
    assert (
        "(stack-taken): happened 2031-03-03 08:00 +01:00, recorded 2031-03-03 09:30 UTC, 150 minutes later, by Ada\n"
        in shown.out
    )
    data = json.loads(run("trace", n("L1"), "--format", "json", ledger=place).out)
    assert [(one["sample"], one["good"], one["defect"]) for one in data["judgements"]] == [
        (n("S1"), False, "click"),
        (n("S2"), True, None),
    ]
    kinds = {one["kind"] for one in data["late"]}
    assert "stack-taken" in kinds
    # 30 minutes are not late.
    assert not kinds & {"sample-drawn", "sample-judged"}
    assert {one["late_s"] for one in data["late"]} == {9000}


def test_the_late_entries_of_a_ledger_are_listed_newest_first(place):
    found = run("findings", "--late", "--format", "json", ledger=place)
    rows = json.loads(found.out)
    assert found.code == 1
    assert [row["kind"] for row in rows[:3]] == ["press-stopped", "stack-taken", "press-started"]
    assert [row["entry"] for row in rows] == sorted((row["entry"] for row in rows), reverse=True)
    assert "left out" not in found.err
    few = run("findings", "--late", "--last", 2, "--format", "json", ledger=place)
    assert len(json.loads(few.out)) == 2
    older = len(rows) - 2
    assert f"2 shown, {older} older left out; --last {len(rows)} lists all." in few.err
    on_a_screen = run("findings", "--late", ledger=place)
    assert "left out" not in on_a_screen.err
    assert run("findings", "--late", "--station", PRESS, ledger=place).code == 2


def test_nothing_late_is_said(tmp_path):
    place = Floor.copy().saved(tmp_path / "plant.db")
    found = run("findings", "--late", ledger=place)
    assert (found.code, found.err) == (
        0,
        (
            "Entries recorded more than 60 minutes after they happened, or of which the recording time runs back or jumps: "
            "0 shown.\n"
        ),
    )


def test_a_trial_shows_what_would_be_stopped_and_books_nothing(place, tmp_path):
    """The lab's log before the press's: in that order a sample of lot 5 has no disc yet."""
    scans = [raw(line) for line in ("P1", "SAMPLE", "L5", "CANCEL")]
    [(last,)] = Floor(Ledger.open(str(place))).read("station", "last_number", code=LAB)
    log = station_log(tmp_path / "lab.jsonl", LAB, scans, first=last + 1)
    before = content(place)
    tried = run("replay", log, "--trial", "--format", "json", ledger=place)
    assert (tried.code, tried.err) == (1, "Trial: nothing was booked; 1 scan would be stopped.\n")
    [row] = json.loads(tried.out)
    assert (row["station"], row["scan"], row["finding"]) == (LAB, last + 3, "not-pressed")
    assert Floor(Ledger.open(str(place))).read("station", "last_number", code=LAB) == [(last,)]
    assert content(place) == before
    booked = run("replay", log, ledger=place)
    assert booked.code == 1
    again = run("replay", log, "--trial", ledger=place)
    assert (again.code, again.err) == (0, "Trial: nothing was booked; 0 scans would be stopped.\n")


@pytest.fixture(scope="module")
def loaded(tmp_path_factory):
    """Lot 1 pressed onto thirty stacks on Monday, all of it recorded on Wednesday."""
    place = tmp_path_factory.mktemp("loaded") / "plant.db"
    floor = Floor(Ledger.open(str(Floor.copy().saved(place))))
    floor.ledger._now = lambda: "2031-03-05T09:30:00Z"
    floor.press(1, strokes=300, stacks=30)
    return place


LOADED = (
    "The records were loaded later: {} of {} entries looked at happened from 2031-03-03 08:00 +01:00 to "
    "2031-03-03 08:00 +01:00 and were recorded at 2031-03-05 09:30 UTC."
)


def test_a_trace_of_records_that_were_loaded_later_says_so_once(loaded):
    shown = run("trace", n("L1"), ledger=loaded)
    late = json.loads(run("trace", n("L1"), "--format", "json", ledger=loaded).out)["late"]
    assert len(late) > 20
    assert re.search(LOADED.format(len(late), r"\d+").replace("+01", r"\+01"), shown.out)
    assert "minutes later" not in shown.out


def test_a_bundle_of_records_that_were_loaded_later_says_so_once_and_lists_each_in_a_table(loaded, tmp_path):
    assert run("audit", "export", n("L1"), "--unsigned", "--out", tmp_path / "b", ledger=loaded).code == 0
    page = " ".join(re.sub(r"<[^>]*>", " ", (tmp_path / "b" / "report.html").read_text("utf-8")).split())
    listed = (tmp_path / "b" / "tables" / "late-entries.csv").read_text("utf-8").splitlines()
    late = sum(",late," in line for line in listed)
    assert late > 20
    assert re.search(LOADED.format(late, r"\d+").replace("+01", r"\+01"), page)
    assert "tables/late-entries.csv lists every one." in page
    assert "BEFORE ITS TIME" not in page


def test_a_clock_that_was_set_back_is_a_finding_of_the_entry(place):
    floor = Floor(Ledger.open(str(place)), at="2031-03-03T10:01:00+01:00")
    floor.ledger._now = lambda: "2031-03-03T08:00:00Z"
    floor.scan(LAB, "P2")
    seq = floor.ledger.head().seq
    floor.ledger.close()
    short = "90 minutes before the entry before it"
    found = run("audit", "verify", "--journal-only", "--format", "json", ledger=place)
    [row] = json.loads(found.out)
    assert (found.code, row["faults"]) == (1, [])
    # The first says that the plant was made years before its first scan.
    assert [told.partition(" was recorded ")[0] for told in row["clock"]][1:] == [f"entry {seq} (signed-on)"]
    assert f"2031-03-03T08:00:00Z, {short} (2031-03-03T09:30:00Z): the clock was set back" in found.err
    listed = json.loads(run("findings", "--late", "--format", "json", ledger=place).out)
    assert (listed[0]["entry"], listed[0]["minutes"], listed[0]["clock"]) == (seq, -61, short)
