"""On a server scans are recorded by its clock: the clocks of the machines that scan decide nothing."""

import json
import time
from datetime import UTC, datetime, timedelta

import pytest
from support_judged import judged
from support_plant import LAB, LINE, Floor

from tracelink import clock
from tracelink.store.journal import journal
from tracelink.store.ledger import Ledger


def last_recorded(floor):
    with floor.ledger.reading() as conn:
        *_, row = journal.rows(conn, journal.head(conn).seq - 1)
    return datetime.fromisoformat(json.loads(row.canonical)["recorded_at"])


@pytest.mark.parametrize("ahead_s", [5 * 3600, -5 * 3600])
def test_a_machine_whose_clock_is_wrong_records_by_that_of_the_server(pg_grown, monkeypatch, ahead_s):
    machine = time.time() + ahead_s
    monkeypatch.setattr(clock.time, "time", lambda: machine)
    assert abs(datetime.fromisoformat(clock.utc_now()).timestamp() - machine) < 2
    with Ledger.open(pg_grown.ledger.place) as opened:
        floor = Floor(opened)
        for number in range(3):
            floor.scan(LAB, "P1", f'"{number}')
            # The server of the tests runs on this machine, by its true clock.
            assert abs(datetime.now(UTC) - last_recorded(floor)) < timedelta(minutes=5)


def test_discs_rest_by_the_clock_of_the_server_though_that_of_the_line_is_ahead(pg_running, monkeypatch):
    floor = Floor.new(pg_running.database(), rest_minutes=60, sign_off_minutes=0)
    with floor.ledger:
        began = datetime.now(UTC)
        floor.at = began.isoformat(timespec="seconds")
        floor.tools()
        floor.press(1)
        ahead = time.time() + 5 * 3600
        monkeypatch.setattr(clock.time, "time", lambda: ahead)
        floor.at = (began + timedelta(hours=5)).isoformat(timespec="seconds")
        floor.scan(LINE, "P1", "CLEAR", "P2", "B1")
        floor.play(LINE, "K11 -> STOP not-rested")
        assert judged(floor).by_earlier_rules == []
