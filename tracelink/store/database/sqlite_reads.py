"""Short reads, asked before every scan, without the layers that a longer question deserves.

On SQLite a prepared statement goes straight to the driver, which halves what a read costs; elsewhere it goes
the ordinary way. Only for reads: errors of writes are told apart by SQLAlchemy's classes.
"""

from collections import namedtuple
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection
from sqlalchemy.sql import ClauseElement
from sqlalchemy.sql.base import Executable

from tracelink.store.database import kept_rows


@dataclass(slots=True)
class _PreparedRead:
    """A statement as SQLite takes it."""

    statement: ClauseElement
    """Kept beside its text so that it stays alive: its identity must not be given to another."""
    sql: str
    order: tuple[str, ...]
    """Names of its parameters."""
    row: Callable[[Any], Any] | None = None
    """Makes a row whose columns are attributes; None until the columns are known."""


_SQLITE: dict[int, _PreparedRead] = {}
# By identity of the statement, which is a constant of its module.


def rows(conn: Connection, statement: Executable, values: Mapping[str, object]) -> list[Any]:
    """Return all rows of a read; their columns are attributes.

    Args:
        conn: a connection inside a transaction.
        statement: a constant of its module, without expanding parameters.
        values: its parameters.
    """
    if conn.dialect.name != "sqlite":
        return list(conn.execute(statement, dict(values)))
    prepared = _prepared(conn, statement)
    return _found(_driver(conn), prepared, [values[name] for name in prepared.order])


def kept(conn: Connection, statement: Executable, values: Mapping[str, object]) -> list[Any]:
    """Return all rows of a read that a station asks for again and again; see `rows` and `kept_rows`."""
    keeping = kept_rows.of(conn)
    if keeping is None:
        return rows(conn, statement, values)
    prepared = _prepared(conn, statement)
    given = tuple([values[name] for name in prepared.order])
    found = keeping.find(id(statement), given)
    if found is None:
        found = _found(keeping.raw, prepared, given)
        keeping.keep(id(statement), given, found)
    return found


def kept_first(conn: Connection, statement: Executable, values: Mapping[str, object]) -> Any:
    """Return the first row of such a read, None if there is none; see `kept`."""
    found = kept(conn, statement, values)
    return found[0] if found else None


def tuples(conn: Connection, statement: Executable, values: Mapping[str, object]) -> list[Any]:
    """Return all rows of a read as plain tuples, for questions with thousands of rows; see `rows`."""
    if conn.dialect.name != "sqlite":
        return [tuple(row) for row in conn.execute(statement, dict(values))]
    prepared = _prepared(conn, statement)
    cursor = _driver(conn).execute(prepared.sql, [values[name] for name in prepared.order])
    found: list[Any] = cursor.fetchall()
    return found


def first(conn: Connection, statement: Executable, values: Mapping[str, object]) -> Any:
    """Return the first row of a read, None if there is none."""
    found = rows(conn, statement, values)
    return found[0] if found else None


def _found(raw: Any, prepared: _PreparedRead, given: list[object] | tuple[object, ...]) -> list[Any]:
    cursor = raw.execute(prepared.sql, given)
    found = cursor.fetchall()
    if not found:
        return []
    make = prepared.row
    if make is None:
        make = prepared.row = _row_of([column[0] for column in cursor.description])
    return [make(each) for each in found]


def _row_of(names: list[str]) -> Callable[[Any], Any]:
    row: Any = namedtuple("Row", names, rename=True)  # type: ignore[misc]  # noqa: PYI024  known only now
    make: Callable[[Any], Any] = row._make
    return make


def _driver(conn: Connection) -> Any:
    keeping = kept_rows.of(conn)
    return conn.connection.driver_connection if keeping is None else keeping.raw


def _prepared(conn: Connection, statement: Any) -> _PreparedRead:
    known = _SQLITE.get(id(statement))
    if known is None:
        compiled = statement.compile(dialect=conn.dialect)
        known = _PreparedRead(statement, str(compiled), tuple(compiled.positiontup or ()))
        _SQLITE[id(statement)] = known
        kept_rows.note_words(id(statement), known.sql)
    return known
