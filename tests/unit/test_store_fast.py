"""Short reads and writes straight through the driver: the same as the ordinary way, on either database."""

import pytest
from sqlalchemy import bindparam, text
from sqlalchemy.exc import IntegrityError
from support_plant import Floor

from tracelink.errors import RefusedByRule
from tracelink.store.database.tables import metadata
from tracelink.store.statements import short_reads
from tracelink.store.statements.short_writes import write

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
        found = short_reads.rows(conn, QUERY, values)
        assert [tuple(row) for row in found] == ordinary
        assert [row.called for row in found] == [name for _code, name in ordinary]


def test_the_first_row_or_none(conn):
    assert (
        short_reads.first(conn, QUERY, {"least": "P", "most": "Q"})
        == short_reads.rows(conn, QUERY, {"least": "P", "most": "Q"})[0]
    )
    assert short_reads.first(conn, QUERY, {"least": "X", "most": "Y"}) is None


def test_a_parameter_that_is_missing_is_a_fault_of_ours(conn):
    with pytest.raises(KeyError):
        short_reads.rows(conn, QUERY, {"least": "P"})


SETTING = metadata.tables["setting"]
INSERT = SETTING.insert()
RENAME = SETTING.update().where(SETTING.c.name == bindparam("key")).values(source=bindparam("new"))
REMOVE = SETTING.delete().where(SETTING.c.value > bindparam("over"))


@pytest.fixture
def writing():
    with Floor.copy().ledger.transaction() as conn:
        yield conn


def test_a_write_does_what_the_ordinary_one_does_and_says_how_many_rows_it_met(writing):
    new = [{"name": f"number {n}", "value": 900000 + n, "source": "test"} for n in (1, 2, 3)]
    assert [write(writing, INSERT, new[0]), write(writing, INSERT, dict(reversed(new[1].items())))] == [1, 1]
    writing.execute(INSERT, new[2])
    assert write(writing, RENAME, {"key": "number 2", "new": "elsewhere"}) == 1
    assert write(writing, RENAME, {"key": "number 4", "new": "elsewhere"}) == 0
    kept = sorted(tuple(row) for row in writing.execute(SETTING.select().where(SETTING.c.value > 900000)))
    assert kept == [
        ("number 1", 900001, "test"),
        ("number 2", 900002, "elsewhere"),
        ("number 3", 900003, "test"),
    ]
    assert write(writing, REMOVE, {"over": 900000}) == 3


def test_what_the_schema_refuses_is_told_as_by_the_ordinary_way(writing):
    row = {"name": "twice", "value": 1, "source": "test"}
    write(writing, INSERT, row)
    # Each in a transaction of its own: a server takes nothing more in one that was refused something.
    with pytest.raises(IntegrityError) as ordinary, writing.begin_nested():
        writing.execute(INSERT, row)
    with pytest.raises(IntegrityError) as short, writing.begin_nested():
        write(writing, INSERT, row)
    assert str(short.value.orig) == str(ordinary.value.orig)
    assert type(short.value) is type(ordinary.value)


def test_a_ledger_says_in_a_sentence_what_its_schema_refuses():
    row = {"name": "twice", "value": 1, "source": "test"}

    def write_twice():
        with Floor.copy().ledger.transaction() as conn:
            write(conn, INSERT, row)
            write(conn, INSERT, row)

    with pytest.raises(
        RefusedByRule, match=r"(?i)^the ledger forbids this act: .*unique constraint.*setting"
    ):
        write_twice()
