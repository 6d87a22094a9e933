"""Carrying out the changes of a projection on the tables."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from itertools import groupby
from operator import attrgetter
from typing import Any

from sqlalchemy import Connection, Select, Table, bindparam, select
from sqlalchemy.sql.dml import Delete as DeleteStatement
from sqlalchemy.sql.dml import Insert as InsertStatement
from sqlalchemy.sql.dml import Update as UpdateStatement

from tracelink.errors import RefusedByRule
from tracelink.ledger.changes import Change, Delete, Increase, Insert, Update
from tracelink.store.statements import short_reads
from tracelink.store.statements.short_writes import write, write_all


def carry_out(conn: Connection, changes: Iterable[Change]) -> None:
    """Carry out `changes` in order.

    Raises:
        RefusedByRule: an update meets no row, or more than one.
        sqlalchemy.exc.IntegrityError: the schema refuses a row; see `storage_errors.storage_sentences`.
    """
    for change in changes:
        if isinstance(change, Insert):
            write(conn, insert_into(change.table), change.row)
        elif isinstance(change, Update):
            _update_one(conn, change)
        elif isinstance(change, Delete):
            _delete_one(conn, change)
        else:
            _increase(conn, change)


def insert_all(conn: Connection, rows: Iterable[Insert]) -> None:
    """Carry out many inserts, those that follow each other into one table at once.

    Args:
        conn: a connection inside a write transaction.
        rows: those of a table all with the same columns.
    """
    for table, inserts in groupby(rows, key=attrgetter("table")):
        write_all(conn, insert_into(table), [insert.row for insert in inserts])


def _update_one(conn: Connection, change: Update) -> None:
    statement = update_of(change.table, tuple(change.key), tuple(change.values))
    values = {f"new_{name}": value for name, value in change.values.items()}
    keys = {f"key_{name}": value for name, value in change.key.items()}
    require_one(write(conn, statement, {**keys, **values}), change)


def _delete_one(conn: Connection, change: Delete) -> None:
    statement = _delete(change.table, tuple(change.key))
    keys = {f"key_{name}": value for name, value in change.key.items()}
    require_one(write(conn, statement, keys), change)


def require_one(found: int, change: Update | Delete) -> None:
    """Refuse a change that met no row, or more than one."""
    if found != 1:
        key = ", ".join(f"{name} {value}" for name, value in change.key.items())
        raise RefusedByRule(f"the ledger has {found} rows of {change.table} for {key}: expected one")


def _increase(conn: Connection, change: Increase) -> None:
    # Not an upsert: SQLite checks the row to be inserted against "quantity >= 0" before it looks for a
    # conflict, so taking something away would always be refused.
    statement = add_to(change.table, tuple(change.key), change.column)
    keys = {f"key_{name}": value for name, value in change.key.items()}
    if write(conn, statement, {**keys, "by": change.by}) == 0:
        write(conn, insert_into(change.table), {**change.key, change.column: change.by})


def count_of(conn: Connection, change: Increase) -> int | None:
    """Return what the row that a change adds to counts now; None if it is not there."""
    row = short_reads.first(conn, _count(change.table, tuple(change.key), change.column), change.key)
    return None if row is None else int(row[0])


def set_counts(conn: Connection, change: Increase, rows: Sequence[Mapping[str, Any]]) -> None:
    """Set what rows count, of the table and column that a change adds to.

    Args:
        conn: a connection inside a write transaction.
        change: names table, key and column.
        rows: of each the columns of its key as `key_NAME`, and `now`.
    """
    write_all(conn, _set(change.table, tuple(change.key), change.column), rows)


def _table(name: str) -> Table:
    # Imported here, for all tables that are: who only reads the journal needs a few of them.
    from tracelink.store.database.tables import TABLES  # noqa: PLC0415

    return TABLES[name]


@cache
def insert_into(table: str) -> InsertStatement:
    """Return the statement of a new row."""
    return _table(table).insert()


@cache
def update_of(table: str, key: tuple[str, ...], values: tuple[str, ...]) -> UpdateStatement:
    """Return the statement that sets columns, `new_NAME`, of the row with a key, `key_NAME`."""
    target = _table(table)
    statement = target.update()
    for name in key:
        statement = statement.where(target.c[name] == bindparam(f"key_{name}"))
    return statement.values({name: bindparam(f"new_{name}") for name in values})


@cache
def _delete(table: str, key: tuple[str, ...]) -> DeleteStatement:
    target = _table(table)
    statement = target.delete()
    for name in key:
        statement = statement.where(target.c[name] == bindparam(f"key_{name}"))
    return statement


@cache
def add_to(table: str, key: tuple[str, ...], column: str) -> UpdateStatement:
    """Return the statement that adds `by` to a count of the row with a key, `key_NAME`."""
    target = _table(table)
    statement = target.update()
    for name in key:
        statement = statement.where(target.c[name] == bindparam(f"key_{name}"))
    return statement.values({column: target.c[column] + bindparam("by")})


@cache
def _set(table: str, key: tuple[str, ...], column: str) -> UpdateStatement:
    target = _table(table)
    statement = target.update()
    for name in key:
        statement = statement.where(target.c[name] == bindparam(f"key_{name}"))
    return statement.values({column: bindparam("now")})


@cache
def _count(table: str, key: tuple[str, ...], column: str) -> Select[Any]:
    target = _table(table)
    statement = select(target.c[column])
    for name in key:
        statement = statement.where(target.c[name] == bindparam(name))
    return statement
