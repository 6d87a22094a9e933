"""Backups in a folder: named by time, thinned out only when a newer one holds them whole; taken while stations write."""

import shutil
import threading
from collections import namedtuple

import pysqlite3
import pytest
from support_cli import run
from support_ledgers import filled, new_plant
from support_plant import LAB, LINE, Floor, raw

from tracelink.report.format.plain import size_of
from tracelink.store.copies import retention
from tracelink.store.copies.backup import copy_ledger
from tracelink.store.journal import journal
from tracelink.store.ledger import Ledger


@pytest.fixture
def place(tmp_path):
    return filled(tmp_path / "plant.db", new_plant)


@pytest.fixture
def safe(tmp_path):
    (tmp_path / "safe").mkdir()
    return tmp_path / "safe"


@pytest.fixture
def clock(monkeypatch):
    """A backup an hour."""
    hours = iter(range(1, 24))
    monkeypatch.setattr(
        "tracelink.services.upkeep.ledger_files.utc_now", lambda: f"2031-03-04T{next(hours):02d}:00:00Z"
    )


def names(folder):
    return sorted(file.name for file in folder.iterdir())


def book_one(place):
    ledger = Ledger.open(str(place))
    ledger.scan(LAB, raw("P1"), "2031-03-04T09:00:00+01:00")
    ledger.close()


class TestInAFolder:
    def test_a_copy_is_named_by_its_ledger_and_time(self, place, safe, clock):
        made = run("backup", safe, ledger=place)
        assert made.code == 0, made.err
        assert names(safe) == ["plant-20310304T010000Z.db"]
        size, free = (safe / names(safe)[0]).stat().st_size, shutil.disk_usage(safe).free
        assert f"; {size_of(size)}, " in made.out
        assert " free. Head " in made.out
        assert free > 0

    def test_two_in_a_second_do_not_meet(self, place, safe, monkeypatch):
        monkeypatch.setattr("tracelink.services.upkeep.ledger_files.utc_now", lambda: "2031-03-04T01:00:00Z")
        for _ in range(2):
            assert run("backup", safe, ledger=place).code == 0
        assert names(safe) == ["plant-20310304T010000Z-2.db", "plant-20310304T010000Z.db"]

    def test_the_newest_are_kept(self, place, safe, clock):
        (safe / "letter.txt").write_text("mine")
        (safe / "other-20010101T000000Z.db").write_text("another ledger's")
        (safe / "plant-monday.db").write_text("named by hand")
        for _ in range(4):
            book_one(place)
            done = run("backup", safe, "--keep", 2, ledger=place)
            assert done.code == 0, done.err
        assert "Removed plant-20310304T020000Z.db.\n" in done.out
        assert names(safe) == [
            "letter.txt",
            "other-20010101T000000Z.db",
            "plant-20310304T030000Z.db",
            "plant-20310304T040000Z.db",
            "plant-monday.db",
        ]
        assert run("audit", "verify", ledger=safe / "plant-20310304T040000Z.db").code == 0

    def test_keep_wants_a_folder(self, place, safe):
        refused = run("backup", safe / "x.db", "--keep", 2, ledger=place)
        assert (refused.code, refused.err) == (
            2,
            f"runout: --keep goes with a folder: expected one, found {safe / 'x.db'}\n",
        )
        assert names(safe) == []


class TestWhatStays:
    def test_nothing_goes_when_the_ledger_does_not_verify(self, place, safe, clock):
        run("backup", safe, ledger=place)
        conn = pysqlite3.connect(place)
        conn.execute("UPDATE lot SET decision = 'released'")
        conn.commit()
        conn.close()
        refused = run("backup", safe, "--keep", 1, ledger=place)
        assert refused.code == 3
        assert names(safe) == ["plant-20310304T010000Z.db"]

    def test_the_witness_of_a_rewritten_journal_stays(self, place, safe, clock):
        """A ledger made anew under the same name verifies by itself; only the old backup shows what was there."""
        book_one(place)
        run("backup", safe, ledger=place)
        for file in place.parent.glob("plant.db*"):
            file.unlink()
        floor = Floor.new(str(place))
        floor.scan(LAB, "P2")
        floor.ledger.close()
        done = run("backup", safe, "--keep", 1, ledger=place)
        assert done.code == 1
        assert names(safe) == ["plant-20310304T010000Z.db", "plant-20310304T020000Z.db"]
        assert "plant-20310304T010000Z.db stays: its entry" in done.err
        assert "the journal was written anew since, or it is another ledger" in done.err

    def test_a_damaged_one_stays_and_is_told(self, place, safe, clock):
        run("backup", safe, ledger=place)
        (safe / names(safe)[0]).write_bytes(b"torn" * 300)
        done = run("backup", safe, "--keep", 1, ledger=place)
        assert done.code == 1
        assert "stays: it cannot be read" in done.err
        assert len(names(safe)) == 2


def test_room_is_looked_for_first(place, safe, monkeypatch):
    usage = namedtuple("usage", "total used free")  # noqa: PYI024  as shutil gives it
    monkeypatch.setattr(retention.shutil, "disk_usage", lambda _folder: usage(100, 90, 10))
    refused = run("backup", safe, ledger=place)
    assert refused.code == 4
    assert f"the disk that holds {safe} has 10 bytes free, and a copy of {place} needs up to " in refused.err
    assert names(safe) == []


def test_a_copy_taken_while_a_line_packs_is_one_state(tmp_path):
    """Every copy verifies, is a beginning of the live journal, and holds what was acknowledged when it began."""
    floor = Floor.new(str(tmp_path / "plant.db"), carton_size=500)
    floor.tools()
    floor.press(1, strokes=400, stacks=1)
    floor.open_line(1, [11], 1)
    packed, stop = [0], threading.Event()

    def pack():
        while not stop.is_set() and packed[0] < 390:
            floor.match(1)
            packed[0] += 1
            if packed[0] % 7 == 0:
                floor.scan(LINE, "NOREAD")

    writer = threading.Thread(target=pack)
    writer.start()
    copies = []
    try:
        for number in range(4):
            before = packed[0]
            head, _waiting = copy_ledger(str(tmp_path / "plant.db"), tmp_path / f"copy{number}.db")
            copies.append((before, packed[0] + 1, head))
    finally:
        stop.set()
        writer.join()
    assert packed[0] > copies[0][0]
    with floor.ledger.reading() as conn:
        live = {row.seq: row.hash for row in journal.rows(conn)}
    for number, (before, after, head) in enumerate(copies):
        assert live[head.seq] == head.hash
        copy = Floor(Ledger.open(str(tmp_path / f"copy{number}.db"), read_only=True))
        [(sealed,)] = copy.read("carton", "units")
        spooled = copy.spooled_matches()
        assert before <= sealed + spooled <= after
        copy.ledger.close()
