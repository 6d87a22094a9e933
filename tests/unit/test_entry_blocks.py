"""Blocks of the journal: what they say of stations, badges and kinds is what all entries say, however many there are."""

import pytest
from sqlalchemy import select, text
from support_plant import Floor, code

from tracelink.ledger.entry import Stamp
from tracelink.ledger.entry_tally import BLOCK
from tracelink.ledger.kinds.warehouse import LocationNamed
from tracelink.store.compact.stored_rows import actors_said, said
from tracelink.store.database.tables_journal import journal as journal_table
from tracelink.store.journal import blocks, journal, rebuild, verify
from tracelink.store.records.entries_by_actor import acts_with

STATION = code("W", 51)
RARE = {BLOCK - 5, 2 * BLOCK + 3, 4 * BLOCK, 4 * BLOCK + 1}
"""Entries of that station; no other entry of their kind has one. The block in between has none of it."""
_ANY = text("SELECT seq FROM journal WHERE seq > :after AND seq <= :upto ORDER BY seq")


@pytest.fixture(scope="module")
def floor():
    made = Floor.copy()
    with made.ledger.transaction() as conn:
        while (head := journal.head(conn)).seq < 4 * BLOCK + 9:
            stamp = Stamp(
                "2031-03-04T08:00:00+00:00",
                "2031-03-04T08:00:00Z",
                station=STATION if head.seq + 1 in RARE else None,
            )
            journal.append(conn, journal.NewEntry(LocationNamed(f"Y{head.seq:07d}", "rack"), stamp))
    return made


def test_only_blocks_that_hold_a_name_and_the_last_entries_are_read(floor):
    with floor.ledger.reading() as conn:
        read = [row.seq for row in blocks.rows_with(conn, [STATION], _ANY, {})]
    assert read == [*range(1, BLOCK + 1), *range(2 * BLOCK + 1, 4 * BLOCK + 10)]


def test_acts_of_a_station_are_those_that_all_entries_name(floor):
    with floor.ledger.reading() as conn:
        assert [act.seq for act in acts_with(conn, "station", STATION)] == sorted(RARE)
        assert acts_with(conn, "station", code("W", 52)) == []


def test_who_wrote_an_entry_is_read_without_the_rest_of_it(floor):
    with floor.ledger.reading() as conn:
        for stored in conn.execute(select(journal_table.c.stored)).scalars():
            entry = said(stored)
            assert actors_said(stored) == (entry["station"], entry["person"])


def test_a_replay_keeps_what_was_kept_entry_by_entry(floor):
    kept = text("SELECT * FROM entry_block ORDER BY name, block")
    with floor.ledger.transaction() as conn:
        before = conn.execute(kept).all()
        rebuild.rebuild(conn)
        assert conn.execute(kept).all() == before
    assert {row.block for row in before} == {0, 1, 2, 3}


def test_a_changed_block_is_told(floor):
    with floor.ledger.transaction() as conn:
        held = conn.begin_nested()
        conn.execute(text(f"DELETE FROM entry_block WHERE name = '{STATION}' AND block = 2"))
        found = verify.examine(conn)
        held.rollback()
    assert any(sentence.startswith("entry_block ") for sentence in found.faults), found.faults
