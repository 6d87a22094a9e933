"""Database errors as sentences, told apart by their codes.

What an error says may quote anything, such as the name of a folder `busy` or of a database `full`; its code may not. SQLite's
result codes: https://www.sqlite.org/rescode.html. PostgreSQL's SQLSTATE:
https://www.postgresql.org/docs/current/errcodes-appendix.html.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from enum import Enum, auto

import pysqlite3
from sqlalchemy import Transaction
from sqlalchemy.exc import DBAPIError, IntegrityError

from tracelink.errors import (
    BookingUnknown,
    LedgerBusy,
    LedgerDamaged,
    LedgerError,
    NotALedger,
    RefusedByRule,
    StorageFailed,
    UsageError,
)
from tracelink.ledger.codec import to_body
from tracelink.ledger.kinds.base import EntryBody


class _Trouble(Enum):
    """What is wrong with a database that does not do what it is asked to."""

    LOCKED = auto()
    NO_LEDGER = auto()
    DAMAGED = auto()
    READ_ONLY = auto()
    FULL = auto()
    FORBIDDEN = auto()
    OTHER = auto()


_SQLITE = {
    # All statements are the program's own: one that SQLite does not understand meets tables of somebody else.
    sqlite3.SQLITE_ERROR: _Trouble.NO_LEDGER,
    sqlite3.SQLITE_BUSY: _Trouble.LOCKED,
    sqlite3.SQLITE_LOCKED: _Trouble.LOCKED,
    sqlite3.SQLITE_READONLY: _Trouble.READ_ONLY,
    sqlite3.SQLITE_CORRUPT: _Trouble.DAMAGED,
    sqlite3.SQLITE_FULL: _Trouble.FULL,
    sqlite3.SQLITE_NOTADB: _Trouble.NO_LEDGER,
}
_SQLSTATE = {
    "25006": _Trouble.READ_ONLY,
    "40001": _Trouble.LOCKED,
    "40P01": _Trouble.LOCKED,
    "42501": _Trouble.FORBIDDEN,
    "42P01": _Trouble.NO_LEDGER,
    "53100": _Trouble.FULL,
    "55P03": _Trouble.LOCKED,
    "XX001": _Trouble.DAMAGED,
    "XX002": _Trouble.DAMAGED,
}
_COMPLETION_UNKNOWN = "40003"
_UNIQUE, _FOREIGN_KEY = "23505", "23503"
_CONSTRAINTS = {
    _UNIQUE: "it is in the ledger already",
    _FOREIGN_KEY: "it names a product, disc or code that is not in the ledger and not before it in the file",
}


DRIVER_ERRORS = (sqlite3.Error, pysqlite3.dbapi2.Error)
"""What drivers raise for SQLite, where SQLAlchemy does not stand between."""


@contextmanager
def storage_sentences(place: str) -> Iterator[None]:
    """Turn database errors into sentences; the transaction is rolled back by whoever opened it.

    Raises:
        RefusedByRule: a constraint of the schema forbids the act.
        LedgerBusy: another program kept the ledger locked.
        StorageFailed: disk full, disk error, no such database server.
        LedgerDamaged: the database finds the file damaged.
        NotALedger: the file is not a ledger.
    """
    try:
        yield
    except IntegrityError as problem:
        raise RefusedByRule(f"the ledger forbids this act: {database_reason(problem)}") from problem
    except DBAPIError as problem:
        raise _storage_error(place, problem.orig) from problem
    except DRIVER_ERRORS as problem:
        # Raised by what goes straight to the driver, and while a new connection is being set up, before SQLAlchemy wraps it.
        raise _storage_error(place, problem) from problem
    except PermissionError as problem:
        # Looking for the file: a folder on the way may not be entered.
        raise StorageFailed(f"the ledger {place} cannot be reached: {problem.strerror}") from problem


def commit(transaction: Transaction, place: str) -> None:
    """Commit, and tell a transaction that was not committed from one of which nobody knows.

    Raises:
        BookingUnknown: the answer was lost, or says nothing certain.
        sqlalchemy.exc.DBAPIError: the database refused; nothing was booked.
    """
    try:
        transaction.commit()
    except DBAPIError as problem:
        # Left open on its connection, the next one on it could not begin.
        transaction.rollback()
        if problem.orig is None or _is_refusal(problem.orig):
            raise
        raise BookingUnknown(
            f"it is not known whether this was booked, because the answer of the ledger {place} was lost "
            f"({_first_line(problem.orig)}). Look what is booked before you do it again",
            _storage_error(place, problem.orig),
        ) from problem


def _is_refusal(problem: BaseException) -> bool:
    """Say whether a database that was asked to commit certainly did not."""
    if getattr(problem, "sqlstate", None) == _COMPLETION_UNKNOWN:
        return False
    severity = getattr(getattr(problem, "diag", None), "severity_nonlocalized", None)
    # A server that goes on answers ERROR; FATAL, PANIC or nothing at all may come after it has committed.
    return severity == "ERROR" or _trouble(problem) in {_Trouble.LOCKED, _Trouble.READ_ONLY}


@contextmanager
def plant_file_sentences(body: EntryBody) -> Iterator[None]:
    """Say which part of a plant file the ledger refuses, and why, in words of the plant.

    Raises:
        UsageError: the thing is in the ledger already, or names something that is not.
    """
    try:
        yield
    except IntegrityError as problem:
        name = next(str(value) for value in to_body(body).values() if value is not None)
        why = _CONSTRAINTS.get(_constraint(problem.orig), database_reason(problem))
        raise UsageError(f"{body.kind} {name}: {why}") from problem


def _constraint(orig: BaseException | None) -> str:
    """Return the SQLSTATE of the constraint that an error is about; empty if it is of another kind."""
    state = getattr(orig, "sqlstate", None)
    if state is not None:
        return str(state)
    # pysqlite3 hands over SQLITE_CONSTRAINT without saying which; SQLite's words begin with it and quote the schema alone.
    said = str(orig)
    if said.startswith("UNIQUE constraint failed"):
        return _UNIQUE
    return _FOREIGN_KEY if said.startswith("FOREIGN KEY constraint failed") else ""


def database_reason(problem: DBAPIError) -> str:
    """Return what the database itself says, in one line: a server adds the whole row that it refuses."""
    return _first_line(problem.orig) if problem.orig else str(problem)


def _first_line(problem: BaseException) -> str:
    shown = str(problem)
    return next(iter(shown.strip().splitlines()), type(problem).__name__)


def _trouble(problem: BaseException) -> _Trouble:
    state = getattr(problem, "sqlstate", None)
    if state is not None:
        return _SQLSTATE.get(state, _Trouble.OTHER)
    code = getattr(problem, "sqlite_errorcode", None)
    # The low byte is the kind of error, what is above says more of it.
    return _Trouble.OTHER if code is None else _SQLITE.get(code & 0xFF, _Trouble.OTHER)


def ledger_busy(place: str) -> LedgerBusy:
    """Return the error about a ledger that another program keeps locked."""
    return LedgerBusy(
        f"the ledger {place} is locked by another program: nothing was booked; try again when it is done"
    )


def _storage_error(place: str, problem: BaseException | None) -> LedgerError:
    reason = "" if problem is None else _first_line(problem)
    kind = _Trouble.OTHER if problem is None else _trouble(problem)
    if kind is _Trouble.LOCKED:
        return ledger_busy(place)
    if kind is _Trouble.NO_LEDGER:
        return NotALedger(f"{place} is not a ledger of this program: {reason}")
    if kind is _Trouble.DAMAGED:
        return LedgerDamaged(
            f"the ledger {place} is damaged: {reason}. Keep the file as it is, and compare it with a backup"
        )
    if kind is _Trouble.READ_ONLY:
        return StorageFailed(f"the ledger {place} may not be written here: nothing was booked ({reason})")
    if kind is _Trouble.FULL:
        return StorageFailed(
            f"the disk that holds {place} is full: nothing was booked; make room and scan again"
        )
    if kind is _Trouble.FORBIDDEN:
        return StorageFailed(
            f"the login at the ledger {place} may not do this: nothing was booked ({reason})"
        )
    return StorageFailed(f"the ledger {place} cannot be used: nothing was booked ({reason})")
