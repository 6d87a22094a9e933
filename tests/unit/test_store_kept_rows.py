"""Rows that a station keeps are those that it would read: whoever wrote in between, and however a transaction ended."""

from itertools import pairwise

import pysqlite3
import pytest
from sqlalchemy import text
from support_plant import LINE, Floor, gtin, n, raw_disc, raw_sleeve
from support_sql import change, set_setting

from tracelink.errors import StorageFailed
from tracelink.store.database.tables import metadata
from tracelink.store.ledger import Ledger
from tracelink.store.statements import kept_rows, short_reads
from tracelink.store.statements.short_writes import write

NAME = text("SELECT name FROM person WHERE code = :code")
TITLE = text("SELECT title FROM product WHERE gtin = :gtin")
PERSON = metadata.tables["person"]
RENAME = text("UPDATE person SET name = :name WHERE code = :code")
P1 = n("P1")


@pytest.fixture
def place(tmp_path):
    return str(Floor.copy().saved(tmp_path / "plant.db"))


@pytest.fixture
def ledger(place):
    with Ledger.open(place) as opened:
        yield opened


def named(conn):
    return short_reads.kept_first(conn, NAME, {"code": P1}).name


def keeps(conn, statement):
    return bool(kept_rows.of(conn)._rows.get(id(statement)))


def rename(conn, name):
    write(conn, RENAME, {"name": name, "code": P1})


def test_rows_are_kept_until_their_table_is_written(ledger):
    with ledger.transaction() as conn:
        before = named(conn)
        title = short_reads.kept_first(conn, TITLE, {"gtin": gtin(1)})
        assert short_reads.kept_first(conn, TITLE, {"gtin": gtin(1)}) is title
        rename(conn, "Somebody")
        assert not keeps(conn, NAME)
        assert keeps(conn, TITLE)
        assert (before, named(conn)) == ("Ada", "Somebody")
        change(conn, "person", {"name": "By the layers"}, code=P1)
        assert named(conn) == "By the layers"
    with ledger.transaction() as conn:
        assert keeps(conn, NAME)
        conn.connection.driver_connection.execute("UPDATE person SET name = 'By hand'")
        assert named(conn) == "By hand"


def test_what_another_program_commits_is_seen(ledger, place):
    with ledger.transaction() as conn:
        named(conn)
    with Ledger.open(place) as other, other.transaction() as conn:
        rename(conn, "Renamed elsewhere")
    with ledger.transaction() as conn:
        assert not keeps(conn, NAME)
        assert named(conn) == "Renamed elsewhere"


def test_nothing_is_kept_of_what_was_rolled_back(ledger):
    def fail():
        with ledger.transaction() as conn:
            rename(conn, "Nobody")
            assert named(conn) == "Nobody"
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fail()
    with ledger.transaction() as conn:
        assert named(conn) == "Ada"
        taken_back = conn.begin_nested()
        rename(conn, "Nobody")
        assert named(conn) == "Nobody"
        taken_back.rollback()
        assert named(conn) == "Ada"


def test_a_dry_run_leaves_nothing_behind(ledger):
    with ledger.dry_run() as booking:
        rename(booking.connection, "Nobody")
        assert named(booking.connection) == "Nobody"
    with ledger.transaction() as conn:
        assert named(conn) == "Ada"


def test_a_reading_transaction_keeps_nothing(ledger):
    with ledger.reading() as conn:
        named(conn)
        assert kept_rows.of(conn) is None


def test_questions_beyond_the_most_begin_anew(ledger):
    with ledger.transaction() as conn:
        for code in range(kept_rows._MOST + 1):
            short_reads.kept(conn, NAME, {"code": str(code)})
        assert sum(map(len, kept_rows.of(conn)._rows.values())) == 1


@pytest.fixture
def line(tmp_path):
    floor = Floor.copy()
    floor.press(1, strokes=40, stacks=1)
    floor.open_line(1, [11], 1)
    with Ledger.open(str(floor.saved(tmp_path / "line.db"))) as opened:
        yield Floor(opened)


PAIR = (raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1)))


def of_station(floor):
    return floor.read("station", "last_number", "desk", code=LINE), floor.read("last_scan", station=LINE)


def test_a_commit_that_fails_leaves_a_station_where_it_was(line, monkeypatch):
    """The desk, the head and the last scan that the failed transaction had in memory are not gone on with."""
    line.scan(LINE, *PAIR, PAIR[0])
    before = of_station(line)
    engine = line.ledger._engine
    commit = engine.dialect.do_commit

    fails = [True]

    def once_full(dbapi):
        if fails.pop() if fails else False:
            raise pysqlite3.dbapi2.OperationalError("database or disk is full")
        commit(dbapi)

    monkeypatch.setattr(engine.dialect, "do_commit", once_full)
    with pytest.raises(StorageFailed):
        line.scan(LINE, PAIR[1])
    assert of_station(line) == before
    assert line.scan(LINE, PAIR[1]).count.startswith("2 of")
    assert line.ledger.verify() == line.ledger.head()


def test_two_programs_at_two_stations_count_the_scans_of_both(line):
    dock = n("W5")
    with Ledger.open(line.ledger.place) as other:
        elsewhere = Floor(other)
        for _ in range(3):
            line.scan(LINE, PAIR[0])
            elsewhere.scan(dock, "P1", "SIGNOFF")
            line.scan(LINE, PAIR[1])
    turns = [turn for (turn,) in line.read("spool", "turn", order="turn")]
    assert len(set(turns)) == len(turns) == 6
    assert [later - before for before, later in pairwise(turns)] == [3, 1, 3, 1, 3]
    with line.ledger.writing() as booking:
        assert booking.turns == turns[-1] == sum(last for (last,) in line.read("station", "last_number"))


def test_a_change_behind_a_station_counts_at_its_next_scan(line):
    line.scan(LINE, *PAIR)
    with line.ledger.writing() as booking:
        assert booking.queries.spindle(n("K11")).remaining == 39
    with line.ledger.transaction() as conn:
        set_setting(conn, "check_units", 7)
        change(conn, "spool", {"spindle": None}, station=LINE)
        change(conn, "last_scan", {"raw": "]C0Z"}, station=LINE)
    with line.ledger.writing() as booking:
        assert booking.queries.spindle(n("K11")).remaining == 40
        assert booking.queries.last_scan(LINE).raw == "]C0Z"
