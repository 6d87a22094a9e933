"""A ledger moves to another database engine and back: the same journal, the same tables, and stations go on."""

import signal
import subprocess
import sys
from contextlib import closing

import psycopg
import pysqlite3
import pytest
from support_cli import run
from support_ledgers import filled, packing_line
from support_plant import LINE, Floor

from runout import copy_ledger, open_ledger
from tracelink.errors import ProjectionDiffers, StorageFailed, UsageError
from tracelink.store.copies import between_engines
from tracelink.store.database.tables import TABLES
from tracelink.store.ledger import Ledger, read_ledger


@pytest.fixture
def place(tmp_path):
    """A ledger whose line is in the middle of a carton: matches and one disc lie in the spool."""
    return filled(tmp_path / "plant.db", packing_line)


def tables(place):
    with read_ledger(str(place)) as conn:
        return {
            name: sorted((tuple(row) for row in conn.execute(table.select())), key=repr)
            for name, table in TABLES.items()
        }


def there_and_back(place, pg_place, tmp_path):
    return [run("copy", place, pg_place), run("copy", pg_place, tmp_path / "back.db")]


def test_everything_is_the_same_on_both_engines_and_back(place, pg_place, tmp_path):
    there, back = there_and_back(place, pg_place, tmp_path)
    assert (there.code, there.err, back.code, back.err) == (0, "", 0, "")
    ours = tables(place)
    assert tables(pg_place) == ours
    assert tables(tmp_path / "back.db") == ours
    rows = sum(map(len, ours.values()))
    with open_ledger(place) as ledger:
        entries, head = ledger.head
    told = f"{entries} entries; {len(TABLES)} tables with {rows} rows are equal on both sides. Head {head}"
    assert f"Copied to {pg_place}: {told}" == there.out.replace("\u202f", "").strip()
    # And a station goes on in the middle of its carton, on either.
    for copied in (pg_place, tmp_path / "back.db"):
        floor = Floor(Ledger.open(str(copied)))
        assert floor.match(1).count == "4 of 5 in carton"
        floor.ledger.verify()
        floor.ledger.close()


def test_nothing_is_overwritten(place, pg_place, tmp_path):
    assert run("copy", place, pg_place).code == 0
    again = run("copy", place, pg_place)
    assert again.code == 2
    assert "is not empty: it has" in again.err
    other = tmp_path / "other.db"
    other.write_bytes(b"something dear")
    refused = run("copy", place, other)
    assert (refused.code, refused.err) == (
        2,
        f"runout: {other} exists already; a copy never overwrites anything\n",
    )
    assert other.read_bytes() == b"something dear"


def killed_while_verifying(source, target):
    program = (
        "import os, signal; from tracelink.store.copies import between_engines as moving; "
        "moving._verified = lambda *_given: os.kill(os.getpid(), signal.SIGKILL); "
        f"moving.copy_between({str(source)!r}, {str(target)!r})"
    )
    return subprocess.run([sys.executable, "-c", program], check=False, timeout=120).returncode


def test_a_copy_that_is_killed_leaves_nothing_and_the_next_one_is_made(place, pg_place, tmp_path):
    """On a server the transaction ends with its connection; a file has another name until it is whole."""
    for target in (pg_place, tmp_path / "copy.db"):
        assert killed_while_verifying(place, target) == -signal.SIGKILL
        assert not (tmp_path / "copy.db").exists()
        made = run("copy", place, target)
        assert made.code == 0, made.err
    assert not list(tmp_path.glob("copy.db.*"))


def test_a_source_that_does_not_verify_is_not_copied(place, pg_place, tmp_path):
    with closing(pysqlite3.connect(place)) as conn:
        conn.execute("UPDATE lot SET decision = 'released' WHERE counter > 0")
        conn.commit()
    for target in (pg_place, tmp_path / "copy.db"):
        refused = run("copy", place, target)
        assert refused.code == 3
        assert "decision is 'released', the journal says 'pending'" in refused.err
    assert not list(tmp_path.glob("copy*"))
    with psycopg.connect(pg_place.replace("+psycopg", "")) as conn:
        assert conn.execute("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'").fetchone() == (0,)


def test_a_row_that_came_out_otherwise_is_noticed(place, tmp_path, monkeypatch):
    copied = between_engines._copied

    def changed(live, fresh, table):
        rows = copied(live, fresh, table)
        if table.name == "person":
            fresh.execute(table.update().values(name="Zoe"))
        return rows

    monkeypatch.setattr(between_engines, "_copied", changed)
    with pytest.raises(ProjectionDiffers, match="the copy is not what was copied: table person, row P0000"):
        copy_ledger(place, tmp_path / "copy.db")
    assert not list(tmp_path.glob("copy*"))


def test_what_the_stations_book_meanwhile_is_counted(place, tmp_path, monkeypatch):
    verified = between_engines._verified

    def while_a_station_works(fresh, progress):
        floor = Floor(Ledger.open(str(place)))
        floor.match(1)
        floor.scan(LINE, "CLOSE")
        floor.ledger.close()
        return verified(fresh, progress)

    monkeypatch.setattr(between_engines, "_verified", while_a_station_works)
    made = run("copy", place, tmp_path / "copy.db")
    assert made.code == 1
    assert "went on meanwhile: 2 entries and 3 scans are not in the copy" in made.err.replace("\u202f", " ")


def test_a_place_that_cannot_be_is_said(place, tmp_path):
    with pytest.raises(UsageError, match=r"the folder of .*copy.db does not exist"):
        copy_ledger(place, tmp_path / "nowhere" / "copy.db")
    with pytest.raises(StorageFailed, match="nothing was booked"):
        copy_ledger(place, "postgresql://nobody@127.0.0.1:1/nothing")
    with pytest.raises(UsageError, match="names no file"):
        copy_ledger(place, "sqlite://")
    refused = run("--read-only", "copy", place, tmp_path / "copy.db")
    assert refused.code == 4
    assert "--read-only" in refused.err
