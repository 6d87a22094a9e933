"""Short reads straight through the driver: the same rows as the ordinary way, on either database."""

import pytest
from sqlalchemy import text
from support_plant import Floor

from tracelink.store.database import sqlite_reads

QUERY = text("SELECT code, name AS called FROM person WHERE code >= :least AND code <= :most ORDER BY code")


@pytest.fixture
def conn():
    with Floor.copy().ledger.reading() as conn:
        yield conn


def test_rows_are_those_of_the_ordinary_way(conn):
    values = {"most": "P999999", "least": "P"}
    ordinary = [tuple(row) for row in conn.execute(QUERY, values)]
    assert len(ordinary) >= 3
    for _ in range(2):
        found = sqlite_reads.rows(conn, QUERY, values)
        assert [tuple(row) for row in found] == ordinary
        assert [row.called for row in found] == [name for _code, name in ordinary]


def test_the_first_row_or_none(conn):
    assert (
        sqlite_reads.first(conn, QUERY, {"least": "P", "most": "Q"})
        == sqlite_reads.rows(conn, QUERY, {"least": "P", "most": "Q"})[0]
    )
    assert sqlite_reads.first(conn, QUERY, {"least": "X", "most": "Y"}) is None


def test_a_parameter_that_is_missing_is_a_fault_of_ours(conn):
    with pytest.raises(KeyError):
        sqlite_reads.rows(conn, QUERY, {"least": "P"})
