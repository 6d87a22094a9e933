"""Single writes, several for every scan, without the layers that a larger statement deserves.

As `sqlite_reads`: on SQLite a prepared statement goes straight to the driver, elsewhere it goes the ordinary way. What
the driver refuses is raised as the class of SQLAlchemy that it would have been there.
"""

from collections.abc import Mapping
from typing import Any

import pysqlite3
from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError
from sqlalchemy.sql import ClauseElement
from sqlalchemy.sql.base import Executable

_SQLITE: dict[tuple[int, tuple[str, ...]], tuple[ClauseElement, str, tuple[str, ...]]] = {}
# By identity of the statement, which somebody keeps, and the names of its values: an insert names only the columns
# that it is given. The statement is kept beside its text so that its identity is not given to another.


def write(conn: Connection, statement: Executable, values: Mapping[str, object]) -> int:
    """Carry out an insert, update or delete and return how many rows it met.

    Args:
        conn: a connection inside a write transaction.
        statement: a constant of its module or one kept in a cache, of Integer, Text and LargeBinary columns.
        values: of its parameters, or of the columns of an insert.

    Raises:
        sqlalchemy.exc.DBAPIError: as `Connection.execute`.
    """
    if conn.dialect.name != "sqlite":
        return conn.execute(statement, dict(values)).rowcount
    text, order = _prepared(conn, statement, tuple(values))
    raw = conn.connection.driver_connection
    assert raw is not None
    given = [values[name] for name in order]
    try:
        found: int = raw.execute(text, given).rowcount
    except pysqlite3.dbapi2.Error as problem:
        raise DBAPIError.instance(
            text, given, problem, pysqlite3.dbapi2.Error, dialect=conn.dialect
        ) from problem
    return found


def _prepared(conn: Connection, statement: Any, names: tuple[str, ...]) -> tuple[str, tuple[str, ...]]:
    known = _SQLITE.get((id(statement), names))
    if known is None:
        compiled = statement.compile(dialect=conn.dialect, column_keys=list(names))
        known = (statement, str(compiled), tuple(compiled.positiontup or ()))
        _SQLITE[id(statement), names] = known
    return known[1:]
