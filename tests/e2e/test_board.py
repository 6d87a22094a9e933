"""`runout board`: one screen for each kind of station, counted by hand against a small day."""

import json

import pytest
from support_cli import run
from support_ledgers import filled, initialised
from support_plant import DOCK, LAB, LINE, MATRICES, PRESS, Floor, code, n

from tracelink.cli import board as command
from tracelink.store.ledger import Ledger

DAY = "2031-03-03"


@pytest.fixture
def place(tmp_path):
    return initialised(tmp_path)


@pytest.fixture
def floor(place):
    return Floor(Ledger.open(str(filled(place, _day))))


def _day(place):
    with Ledger.open(str(place)) as ledger:
        floor = Floor(ledger)
        floor.tools()
        floor.scan(
            PRESS, "P1", "SETUP", "L1", "T4", "T14", "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B'
        )
        floor.scan(PRESS, "TRIAL", "#4", "STACK", "K11", "#18", "SCRAP", "#2", "STACK", "K12", "#18")
        floor.scan(LAB, "P1", "SAMPLE", "L1", "S1", "#10", "K11")
        floor.open_line(1, [11], 1)
        floor.match(1, 3)
        floor.scan(LINE, "disc 1.1", "sleeve 2")
        floor.scan(DOCK, "P1", "PALLET", "pallet 1", "HOLD")
        floor.scan(LAB, "HOLD", "B6", '"looks wrong')


def read(place, *words):
    found = run("board", *words, "--format", "json", "--date", DAY, ledger=place)
    assert found.code == 0, found.err
    return json.loads(found.out)


def test_the_press_screen(place, floor):
    found = read(place, "press")
    assert found["stations"][0] == {
        "station": PRESS,
        "area": "press",
        "name": "press 2",
        "person": "Ada",
        "doing": f'lot {n("L1")} "Paper Comet Arithmetic" running, 18 of 500 discs, STACK is not finished',
        "word": "NEXT",
        "waits_for": "Key the press counter, such as #412. STACK is not finished.",
        "count": "",
        "is_busy": True,
    }
    assert {each["what"]: each["quantity"] for each in found["counts"]} == {
        "discs stacked": 14, "trial discs scrapped": 4, "discs scrapped at the press": 2,
    }  # fmt: skip
    assert [(each["finding"], each["times"]) for each in found["stops"]] == [("nothing-to-stack", 1)]
    [waiting] = found["waiting"]
    assert waiting == {
        "lot": n("L1"), "title": "Paper Comet Arithmetic", "piece": 1, "status": "running", "pressed": 18, "samples": 1,
        "judged": 0, "bad": 0,
    }  # fmt: skip
    assert [(each["cause"], each["reason"]) for each in found["holds"]] == [(n("B6"), "looks wrong")]


def test_the_line_screen_counts_what_lies_in_the_spool(place, floor):
    found = read(place, "line")
    doing = f'packs "Paper Comet Arithmetic" EX 101, 3 of 5 in carton {n("carton 1")}, a disc waits for its sleeve'
    here = found["stations"][0]
    assert here["doing"] == doing
    assert (here["word"], here["waits_for"], here["count"]) == (
        "STOP",
        "Scan RECHECK. 3 units wait for a re-check.",
        "3 of 5 in carton",
    )
    assert found["counts"][0] == {"area": "line", "what": "discs sleeved", "quantity": 3}
    assert [each["finding"] for each in found["stops"]] == ["wrong-title"]
    floor.scan(LINE, "STOP")
    assert read(place, "line")["counts"][0]["quantity"] == 3


def test_every_kind_of_station_has_its_screen(place, floor):
    assert read(place, "dock")["stations"][0]["doing"].startswith(
        f"pallet {n('pallet 1')} open with 0 cartons"
    )
    assert read(place, "lab")["counts"][0]["quantity"] == 1
    assert read(place, "tool")["counts"][0]["quantity"] == 5 * len(MATRICES)
    everything = read(place)
    assert {each["area"] for each in everything["stations"]} == {"tool", "press", "lab", "line", "dock"}
    assert everything["area"] == "all"


def test_another_day_has_its_own_counts_and_stops(place, floor):
    found = json.loads(run("board", "press", "--format", "json", "--date", "2031-03-04", ledger=place).out)
    assert [each["quantity"] for each in found["counts"]] == [0, 0, 0]
    assert found["stops"] == []
    assert len(found["waiting"]) == 1


def test_a_lot_that_is_decided_waits_no_longer(place, floor):
    floor.scan(LAB, "REJECT", "L1", '"clicks')
    assert read(place, "lab")["waiting"] == []


def test_it_is_printed_once_where_there_is_no_terminal(place, floor):
    shown = run("board", "press", "--date", DAY, ledger=place)
    assert shown.code == 0
    assert "\x1b" not in shown.out
    assert shown.out.startswith(f"Stations: press   day {DAY}   read ")
    assert f"       1 nothing-to-stack; last 08:00 at {PRESS}: No disc has been counted" in shown.out
    assert "Investigations:\n  none\n" in shown.out


def test_it_refreshes_until_it_is_stopped_by_hand(place, floor, monkeypatch):
    ticks = []

    def sleep(seconds):
        ticks.append(seconds)
        if len(ticks) == 3:
            raise KeyboardInterrupt

    monkeypatch.setattr(command.time, "sleep", sleep)
    monkeypatch.setattr(command, "_on_terminal", lambda: True)
    shown = run("board", "line", "--every", 7, ledger=place)
    assert shown.code == 0
    assert ticks == [7, 7, 7]
    assert shown.out.count("\x1b[2J\x1b[HStations: line") == 3


def test_a_small_screen_shows_the_first_lines_and_how_many_more_there_are():
    text = "".join(f"line {number} of it\n" for number in range(1, 11))
    assert command.fitted(text, 40, 11) == text
    assert command.fitted(text, 9, 5) == "line 1 o…\nline 2 o…\nline 3 o…\n7 more li\n"
    assert command.fitted(text, 40, 10).splitlines()[-2:] == [
        "line 8 of it",
        "2 more lines: make the window higher",
    ]


def test_a_day_that_is_none_is_wrong_usage(place):
    found = run("board", "--date", "yesterday", ledger=place)
    assert (found.code, found.err) == (
        2, "runout: --date is yesterday: expected YYYY-MM-DD, such as 2031-03-04\n",
    )  # fmt: skip
    assert run("board", "bakery", ledger=place).code == 2


def test_long_blocks_say_how_much_more_there_is(place, floor):
    for spindle in range(1, 13):
        floor.scan(LAB, "HOLD", f"E{spindle}", f'"reason {code("E", spindle)}')
    assert "  and 5 more\n" in run("board", "lab", "--once", ledger=place).out
