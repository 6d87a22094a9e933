"""Database errors are told apart by their codes: what folders, databases and hosts are called changes no sentence."""

import psycopg
import pysqlite3
import pytest
from sqlalchemy.exc import OperationalError
from support_cli import run
from support_each import each
from support_ledgers import filled, new_plant

from tracelink.errors import LedgerBusy, LedgerDamaged, LedgerError, NotALedger, RefusedByRule, StorageFailed
from tracelink.store.database.storage_errors import storage_sentences
from tracelink.store.ledger import Ledger

# Each was a word by which an error was told from another.
_NAMES = [
    "busy",
    "full",
    "locked",
    "readonly",
    "corrupt",
    "malformed",
    "not a database",
    "no such table",
    "query_only",
]


def _met(problem, place="plant.db"):
    with pytest.raises(LedgerError) as met, storage_sentences(place):
        raise OperationalError("SELECT 1", {}, problem)
    return type(met.value)


def _sqlite(code, said="words"):
    problem = pysqlite3.OperationalError(said)
    problem.sqlite_errorcode = code
    return problem


# https://www.sqlite.org/rescode.html and https://www.postgresql.org/docs/current/errcodes-appendix.html
_KINDS = [
    (5, psycopg.errors.LockNotAvailable, LedgerBusy),
    (6 | 1 << 8, psycopg.errors.SerializationFailure, LedgerBusy),
    (5 | 2 << 8, psycopg.errors.DeadlockDetected, LedgerBusy),
    (8, psycopg.errors.ReadOnlySqlTransaction, StorageFailed),
    (11, psycopg.errors.DataCorrupted, LedgerDamaged),
    (13, psycopg.errors.DiskFull, StorageFailed),
    (26, psycopg.errors.UndefinedTable, NotALedger),
    (14, psycopg.errors.InsufficientPrivilege, StorageFailed),
    (10, psycopg.errors.CannotConnectNow, StorageFailed),
]


@each("code, state, expected", _KINDS)
def test_the_code_decides_whatever_the_words_are(code, state, expected):
    for said in _NAMES:
        assert _met(_sqlite(code, said)) is expected
        assert _met(state(said)) is expected


@pytest.mark.parametrize("name", _NAMES)
def test_a_name_in_an_error_without_a_code_changes_nothing(name):
    said = f'connection to server at "{name}" failed: database "{name}" does not exist'
    assert _met(psycopg.OperationalError(said)) is StorageFailed


@pytest.mark.parametrize("name", _NAMES)
def test_a_ledger_in_a_folder_of_that_name_is_told_apart_as_elsewhere(tmp_path, name):
    folder = tmp_path / name
    folder.mkdir()
    place = filled(folder / f"{name}.db", new_plant)
    other = folder / "other.db"
    other.write_bytes(b"no database, but long enough to be looked into " * 40)
    done = run("hold", ledger=other)
    assert (done.code, "is not a ledger of this program" in done.err) == (2, True)
    nowhere = folder / "folder.db"
    nowhere.mkdir()
    assert run("hold", ledger=nowhere).code == 2
    with (
        Ledger.open(str(place)) as ledger,
        pytest.raises(RefusedByRule, match="the ledger forbids this act"),
        ledger.transaction() as conn,
    ):
        conn.exec_driver_sql("INSERT INTO setting SELECT * FROM setting")
