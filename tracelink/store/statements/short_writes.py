"""Single writes, several for every scan, without the layers that a larger statement deserves.

As `short_reads`: a prepared statement goes straight to the driver. What the driver refuses is raised as the class of
SQLAlchemy that it would have been there.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pysqlite3
from sqlalchemy import Connection, Dialect
from sqlalchemy.exc import DBAPIError
from sqlalchemy.sql import ClauseElement
from sqlalchemy.sql.base import Executable

from tracelink.store.statements import kept_rows
from tracelink.store.statements.driver_errors import driver_errors
from tracelink.store.statements.short_reads import by_order

_MOST_TOGETHER = 8
"""Writes in one statement: a scan has three or four, and a statement of another number is another one to prepare."""

_TABLE = re.compile(r"(?:INSERT INTO|UPDATE|DELETE FROM) (\w+)")


@dataclass(frozen=True, slots=True)
class PreparedWrite:
    """A statement as an engine takes it."""

    statement: ClauseElement
    """Kept beside its text so that it stays alive: its identity must not be given to another."""
    sql: str
    order: tuple[str, ...]
    """Names of its parameters."""
    table: str
    """The one that it writes to."""


@dataclass(slots=True)
class _Writing:
    """What is prepared for one kind of database."""

    dialect: Dialect
    """One that takes parameters by their order."""
    writes: dict[tuple[int, tuple[str, ...]], PreparedWrite] = field(default_factory=dict)
    """By identity of the statement, which somebody keeps, and the names of its values: an insert names only the columns
    that it is given."""


_ENGINES: dict[str, _Writing] = {}


def write(conn: Connection, statement: Executable, values: Mapping[str, object]) -> int:
    """Carry out an insert, update or delete and return how many rows it met.

    Args:
        conn: a connection inside a write transaction.
        statement: a constant of its module or one kept in a cache, of Integer, Text and LargeBinary columns.
        values: of its parameters, or of the columns of an insert.

    Raises:
        sqlalchemy.exc.DBAPIError: as `Connection.execute`.
    """
    prepared = prepare(conn, statement, tuple(values))
    given = [values[name] for name in prepared.order]
    keeping = kept_rows.of(conn)
    if keeping is None:
        return carried_out(conn, conn.connection.driver_connection, prepared.sql, given)
    keeping.look()
    found = carried_out(conn, keeping.cursor, prepared.sql, given)
    keeping.wrote(prepared.table)
    return found


def write_all(conn: Connection, statement: Executable, rows: Sequence[Mapping[str, object]]) -> None:
    """Carry out one write for many rows of values, all with the same names.

    Raises:
        sqlalchemy.exc.DBAPIError: as `write`.
    """
    if not rows:
        return
    prepared = prepare(conn, statement, tuple(rows[0]))
    given = [[row[name] for name in prepared.order] for row in rows]
    raw: Any = conn.connection.driver_connection
    with driver_errors(conn, prepared.sql):
        raw.cursor().executemany(prepared.sql, given)
    if (keeping := kept_rows.of(conn)) is not None:
        keeping.drop()


def write_together(conn: Connection, writes: Sequence[tuple[Executable, Mapping[str, object]]]) -> None:
    """Carry out several writes of which none needs the other, and of which no two meet one row.

    On a server they are one message, and so one way there and back: each is a part of the statement of the last one.

    Args:
        conn: as for `write`.
        writes: each as for `write`.

    Raises:
        sqlalchemy.exc.DBAPIError: as `Connection.execute`.
    """
    keeping = kept_rows.of(conn)
    if conn.dialect.name == "sqlite" or keeping is None or not 1 < len(writes) <= _MOST_TOGETHER:
        for statement, values in writes:
            write(conn, statement, values)
        return
    prepared = [prepare(conn, statement, tuple(values)) for statement, values in writes]
    given = [
        values[name]
        for each, (_statement, values) in zip(prepared, writes, strict=True)
        for name in each.order
    ]
    *before, last = [each.sql for each in prepared]
    parts = ", ".join(f"w{place} AS ({sql})" for place, sql in enumerate(before))
    keeping.look()
    carried_out(conn, keeping.raw, f"WITH {parts} {last}", given)
    for each in prepared:
        keeping.wrote(each.table)


def carried_out(conn: Connection, raw: Any, sql: str, given: Sequence[object]) -> int:
    """Carry out a write as the driver takes it and return how many rows it met; rows that are kept are not dropped.

    Args:
        conn: the connection.
        raw: the driver's own, or a cursor of it.
        sql: the statement.
        given: its values, in order.

    Raises:
        sqlalchemy.exc.DBAPIError: as `write`.
    """
    if conn.dialect.name != "sqlite":
        with driver_errors(conn, sql):
            done: int = raw.execute(sql, given).rowcount
        return done
    try:
        found: int = raw.execute(sql, given).rowcount
    except pysqlite3.dbapi2.Error as problem:
        raise DBAPIError.instance(
            sql, given, problem, pysqlite3.dbapi2.Error, dialect=conn.dialect
        ) from problem
    return found


def prepare(conn: Connection, statement: Any, names: tuple[str, ...]) -> PreparedWrite:
    """Return a statement as the engine of a connection takes it; see `write` for what may be one."""
    engine = _ENGINES.get(conn.dialect.name)
    if engine is None:
        engine = _ENGINES[conn.dialect.name] = _Writing(by_order(conn))
    known = engine.writes.get((id(statement), names))
    if known is None:
        compiled = statement.compile(dialect=engine.dialect, column_keys=list(names))
        sql = str(compiled)
        written = _TABLE.match(sql)
        assert written is not None
        known = PreparedWrite(statement, sql, tuple(compiled.positiontup or ()), written[1])
        engine.writes[id(statement), names] = known
    return known
