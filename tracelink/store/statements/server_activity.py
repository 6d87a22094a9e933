"""What a database server is doing for its ledger now."""

from sqlalchemy import Connection, text

_LONGEST = text(
    "SELECT CAST(EXTRACT(EPOCH FROM MAX(clock_timestamp() - query_start)) AS BIGINT) AS seconds FROM pg_stat_activity "
    "WHERE datname = current_database() AND state = 'active' AND pid <> pg_backend_pid()"
)
_SIZE = text("SELECT pg_database_size(current_database())")


def longest_running_s(conn: Connection) -> int | None:
    """Return for how many seconds the longest statement has been running on this database; None if the ledger is a file.

    A login without the rights of `pg_monitor` sees its own statements only.
    """
    if conn.dialect.name != "postgresql":
        return None
    return max(0, int(conn.execute(_LONGEST).scalar() or 0))


def size_on_server(conn: Connection) -> int | None:
    """Return the bytes of the database; None if the ledger is a file."""
    return int(conn.execute(_SIZE).scalar_one()) if conn.dialect.name == "postgresql" else None
