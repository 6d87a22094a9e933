"""What tests ask the tables of a ledger, by name instead of by SQL text.

What remains as SQL in test files is what somebody with a database tool may do to a ledger: there the statement itself
is what is tried.
"""

from typing import Any

from sqlalchemy import ColumnElement, Connection, Integer, Table, func, insert, select, update

from tracelink.store.database.tables import metadata
from tracelink.store.journal import journal


def read(conn: Connection, table: str, *columns: str, order: str = "", **equal: Any) -> list[tuple[Any, ...]]:
    """Return these columns, or all, of the rows that have these values; None stands for no value."""
    of = metadata.tables[table]
    if table == "journal" and set(columns) & {"canonical", "hash"}:
        # Entries are stored in a short form, their hashes as bytes: a row of the journal is what a reader gets.
        query = select(of.c.seq).where(*_having(of, equal)).order_by(of.c.seq)
        rows = journal.rows_at(conn, conn.execute(query).scalars())
        return [tuple(getattr(row, name) for name in columns) for row in rows]
    wanted = [of.c[name] for name in columns] or [of]
    query = select(*wanted).where(*_having(of, equal)).order_by(*(of.c[name] for name in order.split()))
    return [tuple(row) for row in conn.execute(query)]


def count(conn: Connection, table: str, **equal: Any) -> int:
    """Return how many rows have these values."""
    of = metadata.tables[table]
    return conn.execute(select(func.count()).select_from(of).where(*_having(of, equal))).scalar_one()


def change(conn: Connection, table: str, values: dict[str, Any], **equal: Any) -> None:
    """Change a table behind the journal's back."""
    of = metadata.tables[table]
    conn.execute(update(of).where(*_having(of, equal)).values(values))


def add(conn: Connection, table: str, **values: Any) -> None:
    """Add a row behind the journal's back."""
    conn.execute(insert(metadata.tables[table]).values(values))


def unguard(conn: Connection, table: str) -> None:
    """Take away what keeps the rows of a table from being changed, as somebody with the database in hand may."""
    on = f" ON {table}" if conn.dialect.name == "postgresql" else ""
    conn.exec_driver_sql(f"DROP TRIGGER {table}_no_update{on}")


def set_setting(conn: Connection, name: str, value: int) -> None:
    """Give a setting another value, whether the plant file names it or not."""
    if count(conn, "setting", name=name):
        change(conn, "setting", {"value": value}, name=name)
    else:
        add(conn, "setting", name=name, value=value, source="test")


def last_entry(conn: Connection) -> int:
    """Return the number of the newest entry."""
    [(seq,)] = asked(conn, "SELECT MAX(seq) FROM journal")
    return seq


def spooled_at(conn: Connection, station: str) -> list[dict[str, Any]]:
    """Return what lies in the spool of a station, in its order."""
    names = list(metadata.tables["spool"].c.keys())
    query = f"SELECT {', '.join(names)} FROM spool WHERE station = ? ORDER BY number"
    return [dict(zip(names, row, strict=True)) for row in asked(conn, query, station)]


def desk_of(conn: Connection, station: str) -> tuple[int, str]:
    """Return the last number and the desk of a station, as the tables keep them."""
    [row] = asked(conn, "SELECT last_number, desk FROM station WHERE code = ?", station)
    return row


def asked(conn: Connection, query: str, *values: object) -> list[tuple[Any, ...]]:
    """Ask the driver itself: random histories ask several times a scan."""
    if conn.dialect.name != "sqlite":
        query = query.replace("%", "%%").replace("?", "%s")
    return conn.connection.driver_connection.execute(query, values).fetchall()


def _having(of: Table, equal: dict[str, Any]) -> list[ColumnElement[bool]]:
    # Notation has texts only, and a server tells them from numbers.
    return [
        of.c[name]
        == (int(value) if isinstance(of.c[name].type, Integer) and isinstance(value, str) else value)
        for name, value in equal.items()
    ]
