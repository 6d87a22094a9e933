"""Each migration from a populated older ledger: nothing is lost, the chain holds, the tables are what the journal says."""

import signal
import subprocess
import sys
import textwrap
from pathlib import Path
from unittest import mock

import pysqlite3
import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError
from support_cli import run
from support_plant import START, code, gtin, plant_data
from support_plantfile import read_plant_file

from tracelink.datadir import data_dir
from tracelink.errors import JournalError, LedgerDamaged, NewerJournal, UsageError
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds import orders
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.press import Mounted, PressSetUp, PressStarted, Reading, StackTaken
from tracelink.ledger.kinds.tools import MasterRegistered
from tracelink.ledger.proof.chain import EMPTY, Head
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import SCHEMA_VERSION, found_version, upgrade
from tracelink.store.journal import journal, rebuild, subtrees, tally
from tracelink.store.journal.upgrading import upgrade_ledger
from tracelink.store.ledger import Ledger

STAMP = Stamp(START, "2031-03-03T07:00:00Z")


def older(place: Path, version: str) -> None:
    """Make a ledger of an older schema with a plant, tools, and a lot of 20 discs on a spindle."""
    engine = open_engine(ledger_url(str(place)), must_exist=False)
    config = Config()
    config.set_main_option("script_location", str(data_dir("migrations")))
    config.set_main_option("path_separator", "os")
    with engine.begin() as conn:
        config.attributes["connection"] = conn
        command.upgrade(config, version)
    mounted = Mounted(
        code("W", 2), code("T", 1), code("T", 2), 0, 0, code("C", 1), code("E", 1), code("E", 2)
    )
    moved = Moved(code("L", 1), 20, DiscPlace.COUNTER, code("K", 1), 1, 20)
    bodies = [
        *read_plant_file(plant_data(), new_ledger=True),
        MasterRegistered(code("T", 1), "copper", "A", "EX-101-A"),
        MasterRegistered(code("T", 2), "copper", "B", "EX-101-B"),
        PressSetUp(code("L", 1), mounted),
        PressStarted(code("L", 1), "EX-101-A", "EX-101-B"),
        StackTaken(code("K", 1), Reading(code("L", 1), 1, 0, 20), (moved,)),
    ]
    # Older programs kept no tree and no tally, and orders had no lines.
    lines = mock.patch.object(orders, "order_lines", return_value=())
    grown = mock.patch.object(subtrees, "grow"), mock.patch.object(tally, "grow")
    with engine.begin() as conn, grown[0], grown[1], lines:
        for body in bodies:
            append_long(conn, body)
    engine.dispose()


def append_long(conn, body) -> None:
    """Append an entry as programs before the short form did."""

    def store(conn, row, _scans):
        values = {"seq": row.seq, "hash": row.hash, "kind": row.kind, "canonical": row.canonical}
        names = ", ".join(values)
        conn.execute(text(f"INSERT INTO journal ({names}) VALUES (:seq, :hash, :kind, :canonical)"), values)

    last = conn.execute(text("SELECT seq, hash FROM journal ORDER BY seq DESC LIMIT 1")).first()
    with mock.patch.object(journal, "store", store):
        journal.append(conn, journal.NewEntry(body, STAMP), EMPTY if last is None else Head(*last))


def counts(place: Path) -> dict[str, int]:
    engine = open_engine(ledger_url(str(place)))
    with engine.connect() as conn:
        names = conn.execute(text("SELECT name FROM sqlite_master WHERE type = 'table'")).scalars().all()
        found = {name: conn.execute(text(f'SELECT COUNT(*) FROM "{name}"')).scalar_one() for name in names}
    engine.dispose()
    return found


@pytest.fixture(params=["0001", "0005"])
def version(request):
    return request.param


@pytest.fixture
def place(version, tmp_path):
    older(tmp_path / "old.db", version)
    return tmp_path / "old.db"


def test_an_older_ledger_is_named_and_not_touched(place, version):
    before = place.read_bytes()
    with pytest.raises(
        UsageError, match=f"has the older schema {version}: bring it up with `runout upgrade`"
    ):
        Ledger.open(str(place))
    assert place.read_bytes() == before


def assert_only_origins_lack(place):
    """The acts of `older` were put into the journal by hand, which is all that there is to say of them."""
    told = run("audit", "verify", ledger=place).err.splitlines()
    assert [line.partition(": ")[0].partition(" (")[2] for line in told] == [
        "master-registered) does not come from a rule",
        "master-registered) does not come from a rule",
        "press-set-up) does not come from a rule",
        "press-started) does not come from a rule",
        "stack-taken) does not come from a rule",
    ]


def test_an_upgrade_loses_nothing(place, version):
    before = counts(place)
    assert upgrade_ledger(str(place)) == (version, SCHEMA_VERSION)
    after = counts(place)
    assert {name: after[name] for name in before} == before
    assert after["order_line"] == after["customer_order"] > 0
    ledger = Ledger.open(str(place))
    assert ledger.verify().seq == before["journal"]
    with ledger.transaction() as conn:
        rebuild.rebuild(conn)
    assert counts(place) == after
    assert_only_origins_lack(place)


def test_what_older_programs_kept_of_their_stations_is_made_anew(place):
    engine = open_engine(ledger_url(str(place)))
    with engine.begin() as conn:
        conn.execute(text("UPDATE station SET desk = '{}' WHERE area = 'line'"))
    engine.dispose()
    upgrade_ledger(str(place))
    assert_only_origins_lack(place)


def test_the_tree_is_filled_for_the_entries_that_are_there(place):
    upgrade_ledger(str(place))
    with Ledger.open(str(place)).transaction() as conn:
        query = "SELECT level, position, hash FROM tree_node ORDER BY level, position"
        filled = conn.execute(text(query)).all()
        assert len(filled) == journal.head(conn).seq // 16 > 1
        subtrees.rebuild_tree(conn)
        assert conn.execute(text(query)).all() == filled


def test_a_journal_with_a_hole_is_not_upgraded(place):
    engine = open_engine(ledger_url(str(place)))
    with engine.begin() as conn:
        conn.execute(text("DROP TRIGGER journal_no_delete"))
        conn.execute(text("DELETE FROM journal WHERE seq = 5"))
    engine.dispose()
    with pytest.raises(JournalError, match="entries are missing in the journal up to entry"):
        upgrade_ledger(str(place))
    assert "tree_node" not in counts(place)


KILLED = """
    import os, signal, sys
    from tracelink.store.journal import upgrading
    def killed(conn):
        {rebuild}
        os.kill(os.getpid(), signal.SIGKILL)
    rebuild = upgrading.rebuild
    upgrading.rebuild = killed
    upgrading.upgrade_ledger({place!r})
"""


@pytest.mark.parametrize("version", ["0005"])
@pytest.mark.parametrize("done", ["pass", "rebuild(conn)"])
def test_an_upgrade_that_is_killed_is_begun_anew(place, version, done):
    """Killed between schema and tables it left tables that were never made anew, and a second one said that all was well."""
    program = textwrap.dedent(KILLED.format(place=str(place), rebuild=done))
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == -signal.SIGKILL
    with pytest.raises(UsageError, match=f"has the older schema {version}"):
        Ledger.open(str(place))
    assert upgrade_ledger(str(place)) == (version, SCHEMA_VERSION)
    assert_only_origins_lack(place)


def test_a_row_that_names_nothing_is_found_before_anything_is_changed(place, version):
    engine = open_engine(ledger_url(str(place)))
    with engine.connect() as conn:
        conn.connection.execute("PRAGMA foreign_keys=OFF")
        with conn.begin():
            conn.execute(text("INSERT INTO person_role VALUES ('P0', 'line')"))
    engine.dispose()
    with (
        mock.patch("tracelink.store.journal.upgrading.rebuild"),
        pytest.raises(
            JournalError, match="names a row of table person that is not there; nothing was changed"
        ),
    ):
        upgrade_ledger(str(place))
    with pytest.raises(UsageError, match=f"has the older schema {version}"):
        Ledger.open(str(place))


def test_upgrading_twice_is_said(place, version):
    said = run("upgrade", ledger=place).out.splitlines()
    assert said[0] == f"{place} has schema {SCHEMA_VERSION}; it was {version}."
    assert said[1:] == [f"As it was before: {place}.schema-{version}"]
    assert run("upgrade", ledger=place).out == f"{place} has schema {SCHEMA_VERSION} already.\n"


def test_a_newer_ledger_is_not_upgraded(place):
    upgrade_ledger(str(place))
    engine = open_engine(ledger_url(str(place)))
    with engine.begin() as conn:
        conn.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    engine.dispose()
    with pytest.raises(NewerJournal):
        upgrade_ledger(str(place))


def migrated(conn, version):
    """Bring a database to a version of the schema, with nothing in it."""
    config = Config()
    config.set_main_option("script_location", str(data_dir("migrations")))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = conn
    command.upgrade(config, version)


def test_every_version_is_known_by_its_tables():
    """Whatever the ledger names: somebody who changes the number does not change the tables."""
    engine = open_engine(ledger_url("sqlite://"), must_exist=False)
    for number in range(1, int(SCHEMA_VERSION) + 1):
        with engine.begin() as conn:
            migrated(conn, f"{number:04d}")
            assert found_version(conn, "here") == f"{number:04d}"
            conn.execute(text("UPDATE alembic_version SET version_num = '0000'"))
            with pytest.raises(LedgerDamaged, match=f"its tables are those of schema {number:04d}: somebody"):
                found_version(conn, "here")
            conn.execute(text("INSERT INTO alembic_version VALUES ('0003')"))
            with pytest.raises(LedgerDamaged, match="names schema version 0000 and 0003, but"):
                found_version(conn, "here")
            conn.execute(text("DELETE FROM alembic_version WHERE version_num = '0003'"))
            conn.execute(text("UPDATE alembic_version SET version_num = :real"), {"real": f"{number:04d}"})


def test_a_changed_version_is_told_alike_by_whoever_meets_it(place):
    """Not: verify says to upgrade, and upgrade fails on what is there already."""
    upgrade_ledger(str(place))
    engine = open_engine(ledger_url(str(place)))
    with engine.begin() as conn:
        conn.execute(text("UPDATE alembic_version SET version_num = '0003'"))
    engine.dispose()
    before = place.read_bytes()
    told = f"{place} names schema version 0003, but its tables are those of schema {SCHEMA_VERSION}: somebody changed"
    for words in (("audit", "verify"), ("upgrade",), ("findings",)):
        done = run(*words, ledger=place)
        assert done.code == 3, words
        assert told in " ".join(done.err.split())
    assert place.read_bytes() == before


def test_what_is_no_ledger_is_not_upgraded(tmp_path):
    (tmp_path / "empty.db").write_bytes(b"")
    with pytest.raises(UsageError, match="holds no ledger"):
        upgrade_ledger(str(tmp_path / "empty.db"))


def test_cartons_keep_what_is_theirs_when_their_states_widen(place):
    """The table of cartons is made anew on the way; what refers to it, and its rows, stay."""
    carton = "095200000000000011"
    engine = open_engine(ledger_url(str(place)))
    with engine.begin() as conn:
        conn.exec_driver_sql(
            f"INSERT INTO carton VALUES ('{carton}', '{gtin(1)}', 'closed', 3, '{code('W', 4)}', 90)"
        )
        conn.exec_driver_sql(f"INSERT INTO carton_sleeve VALUES ('{carton}', '{code('B', 1)}', 3)")
    upgrade(engine)
    engine.dispose()
    engine = open_engine(ledger_url(str(place)))
    with engine.begin() as conn:
        rows = conn.exec_driver_sql("SELECT sscc, status, units FROM carton").all()
        assert [tuple(row) for row in rows] == [(carton, "closed", 3)]
        assert conn.exec_driver_sql("SELECT units FROM carton_sleeve").scalar() == 3
        assert conn.exec_driver_sql("PRAGMA foreign_key_check").all() == []
        conn.exec_driver_sql("UPDATE carton SET status = 'broken'")
        with pytest.raises(IntegrityError, match="ck_carton_status_known"):
            conn.exec_driver_sql("UPDATE carton SET status = 'lost'")
    engine.dispose()


class TestTheFileBefore:
    """What `runout upgrade` leaves beside a ledger of a file."""

    @pytest.fixture(scope="class")
    def version(self):
        return "0030"

    @pytest.fixture
    def place(self, tmp_path):
        older(tmp_path / "old.db", "0030")
        return tmp_path / "old.db"

    def test_is_the_ledger_as_it_was_and_every_hash_is_the_same(self, place):
        with pysqlite3.connect(place) as conn:
            before = conn.execute("SELECT seq, hash, canonical FROM journal ORDER BY seq").fetchall()
        done = run("upgrade", ledger=place)
        kept = place.with_name("old.db.schema-0030")
        assert done.code == 0, done.err
        assert done.out.splitlines() == [
            f"{place} has schema {SCHEMA_VERSION}; it was 0030.",
            f"As it was before: {kept}",
        ]
        with pysqlite3.connect(kept) as conn:
            assert conn.execute("SELECT seq, hash, canonical FROM journal ORDER BY seq").fetchall() == before
        with Ledger.open(str(place)).reading() as conn:
            rows = list(journal.rows(conn))
        assert [(row.seq, row.hash, row.canonical) for row in rows] == before
        with pysqlite3.connect(place) as conn:
            assert conn.execute("PRAGMA freelist_count").fetchone() == (0,)
            [short] = conn.execute("SELECT SUM(LENGTH(stored)) FROM journal").fetchone()
        assert short < sum(len(canonical) for _seq, _hash, canonical in before) / 2
        assert run("upgrade", ledger=place).out == f"{place} has schema {SCHEMA_VERSION} already.\n"
        refused = run("audit", "verify", ledger=kept)
        assert f"{kept} has the older schema 0030: bring it up with `runout upgrade`" in refused.err

    def test_an_entry_that_was_changed_before_is_told_after(self, place):
        with pysqlite3.connect(place) as conn:
            conn.execute("DROP TRIGGER journal_no_update")
            sql = "UPDATE journal SET canonical = CAST(replace(CAST(canonical AS TEXT), 'EX-101-A', 'EX-101-X') AS BLOB)"
            conn.execute(sql + " WHERE seq = (SELECT MIN(seq) FROM journal WHERE kind = 'master-registered')")
            conn.execute(TRIGGER)
        conn.close()
        told = run("upgrade", ledger=place)
        assert (told.code, "was changed: its content hashes to" in told.err) == (3, True)
        assert "was changed: its content hashes to" in run("audit", "verify", ledger=place).err

    def test_a_file_that_cannot_be_read_to_its_end_is_not_upgraded(self, place):
        size = place.stat().st_size
        with place.open("r+b") as file:
            file.seek(size * 2 // 3 // 4096 * 4096)
            file.write(b"\xff" * 4096)
        before = place.read_bytes()
        refused = run("upgrade", ledger=place)
        assert refused.code == 3, refused
        assert "Traceback" not in refused.err
        assert place.read_bytes() == before
        assert not place.with_name("old.db.schema-0030").exists()


TRIGGER = (
    "CREATE TRIGGER journal_no_update BEFORE UPDATE ON journal WHEN 1 = 1 "
    "BEGIN SELECT RAISE(ABORT, 'the journal is append-only: no entry is edited'); END"
)
