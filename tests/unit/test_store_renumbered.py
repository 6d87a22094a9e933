"""Which scan of a log bears a number under which its station booked another one, and what a PIN may have been."""

import json
from dataclasses import dataclass

import pytest
from sqlalchemy import create_engine

from tracelink.ledger.packs import RawScan, pack_scans
from tracelink.ledger.pins import PIN_MARK
from tracelink.ledger.proof.chain import JournalRow
from tracelink.store.database.tables_stations import spool
from tracelink.store.stations import renumbered
from tracelink.store.stations.keyed_again import meanings

AT = "2031-03-03T08:00:00+01:00"


def row(seq, station, *scans):
    pack = pack_scans([RawScan(number, AT, raw) for number, raw in scans])
    return JournalRow(seq, "", json.dumps({"station": station}).encode(), pack, "note")


@pytest.fixture
def conn(monkeypatch):
    """A journal with scans of two stations that number alike, and nothing that waits."""
    booked = [row(1, "W1", (1, "]C0A"), (2, PIN_MARK)), row(2, "W2", (1, "]C0B"), (3, "]C0C"))]
    monkeypatch.setattr(renumbered.journal, "rows", lambda _conn: iter(booked))
    engine = create_engine("sqlite://")
    spool.create(engine)
    with engine.connect() as connection:
        yield connection


def found(conn, station, *scans):
    return renumbered.first_renumbered(conn, station, [RawScan(number, AT, raw) for number, raw in scans])


def test_a_number_is_held_against_what_its_own_station_booked_under_it(conn):
    assert found(conn, "W1", (1, "]C0A"), (2, "#1234"), (3, "]C0X")) is None
    assert found(conn, "W2", (1, "]C0B"), (2, "]C0X"), (3, "]C0C")) is None
    assert found(conn, "W1", (1, "]C0B")).raw == "]C0B"
    assert found(conn, "W2", (1, "]C0B"), (3, "]C0X")).number == 3


@dataclass
class Pins:
    in_use: bool

    def pins_in_use(self):
        return self.in_use


def test_only_a_badge_and_a_pin_may_have_been_more_than_one_thing():
    plain, badge, pin = (RawScan(1, AT, raw) for raw in ("]C0K0000017", "]C0P000001H", PIN_MARK))
    assert list(meanings(plain, Pins(in_use=True))) == []
    assert list(meanings(badge, Pins(in_use=True))) == [(True, badge.raw), (False, badge.raw)]
    assert len(list(meanings(pin, Pins(in_use=True)))) == 8
    assert [list(meanings(one, Pins(in_use=False))) for one in (badge, pin)] == [[], []]
