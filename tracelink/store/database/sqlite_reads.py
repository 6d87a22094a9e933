"""Short reads, asked before every scan, without the layers that a longer question deserves.

On SQLite a prepared statement goes straight to the driver, which halves what a read costs; elsewhere it goes
the ordinary way. Only for reads: errors of writes are told apart by SQLAlchemy's classes.
"""

from collections import namedtuple
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection
from sqlalchemy.sql import ClauseElement
from sqlalchemy.sql.base import Executable

_SQLITE: dict[int, tuple[ClauseElement, str, tuple[str, ...], list[type]]] = {}
# By identity of the statement, which is a constant of its module; kept beside its text so that it stays alive.


def rows(conn: Connection, statement: Executable, values: Mapping[str, object]) -> list[Any]:
    """Return all rows of a read; their columns are attributes.

    Args:
        conn: a connection inside a transaction.
        statement: a constant of its module, without expanding parameters.
        values: its parameters.
    """
    if conn.dialect.name != "sqlite":
        return list(conn.execute(statement, dict(values)))
    cursor, made = _executed(conn, statement, values)
    if not made:
        names = [column[0] for column in cursor.description]
        made.append(namedtuple("Row", names, rename=True))  # noqa: PYI024  the columns are known only now
    row = made[0]
    return [row(*found) for found in cursor.fetchall()]


def tuples(conn: Connection, statement: Executable, values: Mapping[str, object]) -> list[Any]:
    """Return all rows of a read as plain tuples, for questions with thousands of rows; see `rows`."""
    if conn.dialect.name != "sqlite":
        return [tuple(row) for row in conn.execute(statement, dict(values))]
    cursor, _made = _executed(conn, statement, values)
    found: list[Any] = cursor.fetchall()
    return found


def first(conn: Connection, statement: Executable, values: Mapping[str, object]) -> Any:
    """Return the first row of a read, None if there is none."""
    found = rows(conn, statement, values)
    return found[0] if found else None


def _executed(
    conn: Connection, statement: Executable, values: Mapping[str, object]
) -> tuple[Any, list[type]]:
    _statement, sql, order, made = _prepared(conn, statement)
    raw = conn.connection.driver_connection
    assert raw is not None
    return raw.execute(sql, [values[name] for name in order]), made


def _prepared(conn: Connection, statement: Any) -> tuple[ClauseElement, str, tuple[str, ...], list[type]]:
    known = _SQLITE.get(id(statement))
    if known is None:
        compiled = statement.compile(dialect=conn.dialect)
        known = (statement, str(compiled), tuple(compiled.positiontup or ()), [])
        _SQLITE[id(statement)] = known
    return known
