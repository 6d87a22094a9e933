"""Reading tables in tests by the names of table and columns, so that a test says what it looks at and not how."""

from typing import Any

from sqlalchemy import Connection, func, select

from tracelink.store.database.tables import metadata


def read(
    conn: Connection, table: str, *columns: str, order: str | None = None, **equal: Any
) -> list[tuple[Any, ...]]:
    """Return these columns of the rows in which every column named has that value; None stands for no value."""
    found = metadata.tables[table]
    query = select(*(found.c[name] for name in columns)).where(
        *(found.c[name] == value for name, value in equal.items())
    )
    return [tuple(row) for row in conn.execute(query.order_by(found.c[order]) if order else query)]


def count(conn: Connection, table: str, **equal: Any) -> int:
    """Return in how many rows every column named has that value."""
    found = metadata.tables[table]
    query = select(func.count()).select_from(found)
    return conn.execute(query.where(*(found.c[name] == value for name, value in equal.items()))).scalar_one()


def last_entry(conn: Connection) -> int:
    """Return the number of the newest entry."""
    return conn.exec_driver_sql("SELECT MAX(seq) FROM journal").scalar_one()


def spooled_at(conn: Connection, station: str) -> list[dict[str, Any]]:
    """Return what lies in the spool of a station, in its order.

    Like `desk_of` without the cost of composing a statement, because random histories ask after every scan.
    """
    found = conn.exec_driver_sql("SELECT * FROM spool WHERE station = ? ORDER BY number", (station,))
    return [dict(row) for row in found.mappings()]


def desk_of(conn: Connection, station: str) -> tuple[int, str]:
    """Return the last number and the desk of a station, as the tables keep them."""
    row = conn.exec_driver_sql("SELECT last_number, desk FROM station WHERE code = ?", (station,)).one()
    return tuple(row)
