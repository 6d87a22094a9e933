"""Counts that a replay keeps in mind come to the rows that change after change would make."""

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError
from support_schema import empty_ledger

from tracelink.ledger.changes import Increase
from tracelink.store.database.tables import TABLES
from tracelink.store.journal import counted_rows
from tracelink.store.journal.counted_rows import COUNTED, CountedRows
from tracelink.store.journal.direct_changes import DirectChanges
from tracelink.store.journal.projection import carry_out

PLACES = ("K1", "K2", "S1", "rejects")


def stock(place, by):
    return Increase("stock", {"place": place, "lot": "L1"}, "quantity", by)


@pytest.fixture
def target():
    engine = empty_ledger()
    with engine.connect() as conn:
        # The lot that the counts are of need not be there for this: its own rows are another matter.
        conn.connection.execute("PRAGMA foreign_keys=OFF")
        with conn.begin():
            yield conn


def rows(conn):
    return sorted(conn.execute(text("SELECT place, lot, quantity FROM stock")).all())


@pytest.mark.parametrize("most", [1, 2, 100])
def test_any_order_of_changes_comes_to_the_same_rows(target, monkeypatch, most):
    """However many counts are kept: with fewer than there are rows, they are written and read again."""
    monkeypatch.setattr(counted_rows, "_MOST", most)
    changes = [stock(place, by) for by in (5, 2, -1, 4) for place in PLACES]
    counted = CountedRows(target, DirectChanges(target).carry_out)
    for change in changes:
        counted.add(change)
    counted.write()
    kept = rows(target)
    target.execute(text("DELETE FROM stock"))
    carry_out(target, changes)
    assert kept == rows(target) == [(place, "L1", 10) for place in PLACES]


def test_a_count_below_zero_is_refused_at_the_very_change(target):
    counted = CountedRows(target, DirectChanges(target).carry_out)
    counted.add(stock("K1", 5))
    counted.add(stock("K1", -3))
    with pytest.raises(IntegrityError, match="not_negative"):
        counted.add(stock("K1", -3))


def test_a_first_count_below_zero_is_refused_too(target):
    with pytest.raises(IntegrityError, match="not_negative"):
        CountedRows(target, DirectChanges(target).carry_out).add(stock("K1", -3))


@pytest.mark.parametrize("table", sorted(COUNTED))
def test_a_counted_row_is_a_key_and_one_count(table):
    counts = [column.name for column in TABLES[table].columns if not column.primary_key]
    assert len(counts) == 1
