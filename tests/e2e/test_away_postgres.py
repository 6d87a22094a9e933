"""A packing line whose database server is stopped under it, and started again."""

import time

import pytest
from support_away import with_key
from support_plant import LINE, Floor, carton_sscc, raw
from support_server import server

from tracelink.services.floor.away import away_line as module
from tracelink.services.floor.away.away_start import away_line
from tracelink.station.common.outcome import Word
from tracelink.store.ledger import Ledger

LONGEST_S = 300


@pytest.fixture
def own(pg_running):
    """A server that the test may stop."""
    with server() as made:
        yield made


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    minutes = iter(range(60))
    monkeypatch.setattr(module, "local_now", lambda: f"2031-03-09T10:{next(minutes):02d}:00+01:00")
    monkeypatch.setattr(module, "_TRY_SECONDS", 0)


def test_a_line_packs_on_while_its_server_is_down(own, tmp_path):
    floor = Floor.new(own.database(), away_hours=4)
    floor.tools()
    floor.press(1)
    floor.open_line(1, [11], 1)
    assert floor.match(1).word is Word.MATCH
    floor.ledger.close()
    key = with_key(floor.ledger.place, tmp_path / "line.key")
    with Ledger.open(floor.ledger.place) as ledger, away_line(ledger, LINE, tmp_path, key) as line:
        until = time.monotonic() + LONGEST_S
        while not line._beside.renew() and time.monotonic() < until:
            time.sleep(0.1)
        words = [line.scan(raw(each)).word.value for each in ("disc 1.1", "sleeve 1")]
        own.stop()
        told = [line.scan(raw(each)) for each in ("disc 1.1", "sleeve 1")]
        own.start()
        back = line.scan(raw("disc 1.1"))
    assert words == [each.word.value for each in told] == ["NEXT", "MATCH"]
    assert all(each.sentence.startswith("The ledger is away since 10:") for each in told)
    assert back.sentence.startswith("The ledger is back, and 2 scans made meanwhile are booked.")
    with Ledger.open(floor.ledger.place, read_only=True) as ledger, ledger.reading() as conn:
        packed = conn.exec_driver_sql(
            f"SELECT count(*) FROM spool WHERE carton = '{carton_sscc(1)}'"
        ).scalar()
    assert packed == 3
