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
