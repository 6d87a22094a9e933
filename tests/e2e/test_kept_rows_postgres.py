"""On a server a station keeps the rows that it read while the journal does not go on, whoever scans in between."""

import psycopg
import pytest
from sqlalchemy import text
from support_plant import LAB, LINE, LINE_2, Floor, n
from support_sql import change

from tracelink.errors import RefusedByRule
from tracelink.store.journal import rebuild
from tracelink.store.ledger import Ledger
from tracelink.store.statements import kept_rows, short_reads
from tracelink.store.statements.short_writes import write

NAME = text("SELECT name FROM person WHERE code = :code")
WAITING = text("SELECT COUNT(*) AS scans FROM spool WHERE station = :code")
RENAME = text("UPDATE person SET name = :name WHERE code = :code")
P1 = n("P1")


@pytest.fixture
def other(pg_grown):
    """Another program at the same ledger."""
    with Ledger.open(pg_grown.ledger.place) as opened:
        yield Floor(opened)


@pytest.fixture
def lines(pg_grown, other):
    """Two lines in the middle of a carton, each in a program of its own."""
    pg_grown.press(1)
    pg_grown.open_line(1, [11], 1)
    other.open_line(1, [12], 2, LINE_2)
    pg_grown.match(1)
    return pg_grown, other


def ask(floor):
    """Ask for a row of the plant and for one of the desks, as a booking does; and say which of them was kept."""
    with floor.ledger.writing() as booking:
        conn = booking.connection
        keeping = kept_rows.of(conn)
        kept = [bool(keeping._rows.get(id(one))) for one in (NAME, WAITING)]
        short_reads.kept_first(conn, NAME, {"code": P1})
        short_reads.kept_first(conn, WAITING, {"code": LINE_2})
    return kept


def test_nothing_is_asked_again_while_nobody_wrote(lines):
    here, _there = lines
    assert ask(here) == [False, False]
    assert ask(here) == [True, True]


def test_a_scan_elsewhere_changes_desks_only(lines):
    here, there = lines
    ask(here)
    there.match(1)
    assert ask(here) == [True, False]


def test_an_entry_elsewhere_drops_everything(lines):
    here, there = lines
    ask(here)
    there.scan(LAB, "no code")
    assert ask(here) == [False, False]


def test_tables_made_anew_elsewhere_drop_everything(lines):
    """Nothing in the journal tells it, and before it the tables may have been wrong."""
    here, there = lines
    ask(here)
    with there.ledger.transaction() as conn:
        rebuild.rebuild(conn)
    assert ask(here) == [False, False]


def test_a_hold_that_is_placed_elsewhere_stops_the_next_scan(lines):
    here, there = lines
    here.match(1)
    assert there.scan(LAB, "P1", "HOLD", "L1", '"scratch').finding is None
    assert here.scan(LINE, "disc 1.1").finding == "on-hold"


def test_what_was_written_here_and_taken_back_is_not_kept(lines):
    here, _there = lines
    ask(here)

    def fail():
        with here.ledger.writing() as booking:
            write(booking.connection, RENAME, {"name": "Nobody", "code": P1})
            assert short_reads.kept_first(booking.connection, NAME, {"code": P1}).name == "Nobody"
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fail()
    assert ask(here) == [False, False]
    with here.ledger.writing() as booking:
        assert short_reads.kept_first(booking.connection, NAME, {"code": P1}).name == "Ada"


def test_a_part_that_is_taken_back_takes_its_rows_with_it(lines):
    here, _there = lines
    with here.ledger.writing() as booking:
        conn = booking.connection

        def fail():
            with booking.attempt():
                write(conn, RENAME, {"name": "Nobody", "code": P1})
                assert short_reads.kept_first(conn, NAME, {"code": P1}).name == "Nobody"
                raise RefusedByRule("not this one")

        with pytest.raises(RefusedByRule):
            fail()
        assert short_reads.kept_first(conn, NAME, {"code": P1}).name == "Ada"


def test_a_write_by_another_way_is_seen(lines):
    here, _there = lines
    with here.ledger.writing() as booking:
        conn = booking.connection
        short_reads.kept_first(conn, NAME, {"code": P1})
        change(conn, "person", {"name": "By the layers"}, code=P1)
        assert short_reads.kept_first(conn, NAME, {"code": P1}).name == "By the layers"


def test_a_match_asks_little(lines, monkeypatch):
    """The lock; the scan, the desk and what was read last in one: and nothing else."""
    here, _there = lines
    here.match(1)
    asked = set()
    execute = psycopg.Cursor.execute

    def counted(self, query, *given, **more):
        asked.add(query)
        return execute(self, query, *given, **more)

    monkeypatch.setattr(psycopg.Cursor, "execute", counted)
    here.match(1)
    assert len(asked) == 2, asked
