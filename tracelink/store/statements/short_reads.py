"""Short reads, asked before every scan, without the layers that a longer question deserves.

A prepared statement goes straight to the driver, which halves what a read costs on SQLite and more on a server. Only for
reads: errors of writes are told apart by SQLAlchemy's classes.
"""

from collections import namedtuple
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, Dialect
from sqlalchemy.sql import ClauseElement
from sqlalchemy.sql.base import Executable

from tracelink.store.statements import kept_rows
from tracelink.store.statements.driver_errors import driver_errors


@dataclass(slots=True)
class _PreparedRead:
    """A statement as an engine takes it."""

    statement: ClauseElement
    """Kept beside its text so that it stays alive: its identity must not be given to another."""
    sql: str
    order: tuple[str, ...]
    """Names of its parameters."""
    asks_spool: bool
    row: Callable[[Any], Any] | None = None
    """Makes a row whose columns are attributes; None until the columns are known."""


@dataclass(slots=True)
class _Engine:
    """What is prepared for one kind of database."""

    dialect: Dialect
    """One that takes parameters by their order."""
    reads: dict[int, _PreparedRead] = field(default_factory=dict)
    """By identity of the statement, which is a constant of its module."""


_ENGINES: dict[str, _Engine] = {}


def rows(conn: Connection, statement: Executable, values: Mapping[str, object]) -> list[Any]:
    """Return all rows of a read; their columns are attributes.

    Args:
        conn: a connection inside a transaction.
        statement: a constant of its module, without expanding parameters.
        values: its parameters.
    """
    prepared = _prepared_now(conn, statement)
    return _found(conn, prepared, [values[name] for name in prepared.order])


def kept(conn: Connection, statement: Executable, values: Mapping[str, object]) -> list[Any]:
    """Return all rows of a read that a station asks for again and again; see `rows` and `kept_rows`."""
    keeping = kept_rows.of(conn)
    if keeping is None:
        return rows(conn, statement, values)
    return _kept(conn, keeping, _prepared_now(conn, statement), values)


def kept_as_written(conn: Connection, statement: Executable, values: Mapping[str, object]) -> list[Any]:
    """Return all rows of such a read of the spool without what this transaction has not written there yet."""
    keeping = kept_rows.of(conn)
    if keeping is None:
        return rows(conn, statement, values)
    return _kept(conn, keeping, _prepared(conn, statement), values)


def _kept(
    conn: Connection, keeping: kept_rows.KeptRows, prepared: _PreparedRead, values: Mapping[str, object]
) -> list[Any]:
    statement = prepared.statement
    given = tuple([values[name] for name in prepared.order])
    found = keeping.find(id(statement), given)
    if found is None:
        found = _found(conn, prepared, given)
        keeping.keep(id(statement), given, found)
    return found


def kept_first(conn: Connection, statement: Executable, values: Mapping[str, object]) -> Any:
    """Return the first row of such a read, None if there is none; see `kept`."""
    found = kept(conn, statement, values)
    return found[0] if found else None


def tuples(conn: Connection, statement: Executable, values: Mapping[str, object]) -> list[Any]:
    """Return all rows of a read as plain tuples, for questions with thousands of rows; see `rows`."""
    prepared = _prepared_now(conn, statement)
    found: list[Any] = _asked(conn, prepared.sql, [values[name] for name in prepared.order]).fetchall()
    return found


def first(conn: Connection, statement: Executable, values: Mapping[str, object]) -> Any:
    """Return the first row of a read, None if there is none."""
    found = rows(conn, statement, values)
    return found[0] if found else None


def _found(conn: Connection, prepared: _PreparedRead, given: list[object] | tuple[object, ...]) -> list[Any]:
    cursor = _asked(conn, prepared.sql, given)
    found = cursor.fetchall()
    if not found:
        return []
    make = prepared.row
    if make is None:
        make = prepared.row = _row_of([column[0] for column in cursor.description])
    return [make(each) for each in found]


def _asked(conn: Connection, sql: str, given: list[object] | tuple[object, ...]) -> Any:
    """Return the driver's cursor over what a read finds."""
    keeping = kept_rows.of(conn)
    if conn.dialect.name == "sqlite":
        raw: Any = conn.connection.driver_connection if keeping is None else keeping.cursor
        return raw.execute(sql, given)
    with driver_errors(conn, sql):
        if isinstance(keeping, kept_rows.ServerRows):
            return keeping.cursor.execute(sql, given)
        opened: Any = conn.connection.driver_connection
        return opened.execute(sql, given)


def _row_of(names: list[str]) -> Callable[[Any], Any]:
    row: Any = namedtuple("Row", names, rename=True)  # type: ignore[misc]  # noqa: PYI024  known only now
    make: Callable[[Any], Any] = row._make
    return make


def by_order(conn: Connection) -> Dialect:
    """Return a dialect of the connection's engine whose parameters are told by their order, quicker than by name."""
    if conn.dialect.name == "sqlite":
        return conn.dialect
    made: Callable[..., Dialect] = type(conn.dialect)
    return made(paramstyle="format")


def _prepared_now(conn: Connection, statement: Any) -> _PreparedRead:
    """Return a statement that is asked now: what is not written yet must be, if it is about that."""
    prepared = _prepared(conn, statement)
    if prepared.asks_spool:
        kept_rows.spool_is_asked(conn)
    return prepared


def _prepared(conn: Connection, statement: Any) -> _PreparedRead:
    engine = _ENGINES.get(conn.dialect.name)
    if engine is None:
        engine = _ENGINES[conn.dialect.name] = _Engine(by_order(conn))
    known = engine.reads.get(id(statement))
    if known is None:
        compiled = statement.compile(dialect=engine.dialect)
        sql = str(compiled)
        known = _PreparedRead(statement, sql, tuple(compiled.positiontup or ()), "spool" in sql)
        engine.reads[id(statement)] = known
        kept_rows.note_words(id(statement), known.sql)
    return known
