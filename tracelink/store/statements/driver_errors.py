"""What a driver raises where it is asked without the layers above it, as those would have raised it."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError


@contextmanager
def driver_errors(conn: Connection, sql: str) -> Iterator[None]:
    """Raise errors of the driver as SQLAlchemy's, told apart by class.

    Args:
        conn: the connection.
        sql: what is carried out.

    Raises:
        sqlalchemy.exc.DBAPIError: as `Connection.execute`.
    """
    error = conn.dialect.loaded_dbapi.Error
    raw = conn.connection.dbapi_connection
    try:
        yield
    except error as problem:
        if conn.dialect.is_disconnect(problem, raw, None):
            # Or it would be handed out again.
            conn.invalidate(problem)
        raise DBAPIError.instance(sql, None, problem, error, dialect=conn.dialect) from problem
