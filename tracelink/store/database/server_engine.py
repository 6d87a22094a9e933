"""Ledgers on a PostgreSQL server: the engine, and the lock that makes a transaction the only writer.

Whoever reads sees one state (REPEATABLE READ). Whoever writes holds the lock first and sees all that was committed before it,
so that transactions that write are serial: what a station has read is still true when it writes.
"""

from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event

from tracelink.errors import UsageError
from tracelink.store.database.columns import complete_for_server
from tracelink.store.statements import kept_rows
from tracelink.store.statements.driver_errors import driver_errors

BUSY_TIMEOUT_MS = 5000
"""How long a writer waits for its turn, on every engine."""

_LOCK_NUMBER = int.from_bytes(b"runout")
_TAKE_LOCK = " ".join(
    (
        "SET TRANSACTION ISOLATION LEVEL READ COMMITTED;",
        f"SET LOCAL lock_timeout = {BUSY_TIMEOUT_MS};",
        f"SELECT pg_advisory_xact_lock({_LOCK_NUMBER});",
        "SELECT (SELECT COALESCE(MAX(seq), 0) FROM journal), (SELECT COALESCE(SUM(last_number), 0) FROM station),",
        "(SELECT xmin::text FROM alembic_version),",
        """to_char(clock_timestamp() AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"')""",
    )
)
# In one message. What follows the lock sees all that was committed before it was had: at this level each statement does.
# A lock of the server's own, not one of a table: whoever waits is served in turn, no cleaning of tables is kept waiting, and a
# station needs no right to change the journal.


def server_engine(url: URL, *, read_only: bool) -> Engine:
    """Return an engine whose every connection is set up for a ledger on a server.

    Args:
        url: as `ledger_url` gave it.
        read_only: open the database so that it cannot be written through this engine.

    Raises:
        UsageError: the driver is not installed.
    """
    given = url.query.get("options", "")
    options = f"{given if isinstance(given, str) else ' '.join(given)} -c default_transaction_read_only=on"
    asked = {"connect_args": {"options": options.strip()}} if read_only else {}
    complete_for_server()
    try:
        engine = create_engine(url, isolation_level="REPEATABLE READ", **asked)
    except ImportError as problem:
        raise UsageError(
            f"ledger {url}: the driver for this database is not installed ({problem}): "
            "pip install 'runout[postgres]'"
        ) from None
    event.listen(engine, "before_cursor_execute", _note_write)
    event.listen(engine, "rollback_savepoint", kept_rows.taken_back)
    return engine


def _note_write(
    conn: Connection, _cursor: object, statement: str, _values: object, _context: object, _many: object
) -> None:
    if "spool" in statement:
        kept_rows.spool_is_asked(conn)
    keeping = kept_rows.of(conn)
    if isinstance(keeping, kept_rows.ServerRows) and not statement.startswith(_CHANGES_NOTHING):
        keeping.wrote_unseen()


_CHANGES_NOTHING = ("SELECT", "SAVEPOINT", "RELEASE", "ROLLBACK TO")


def take_server_lock(conn: Connection) -> None:
    """Make this transaction the only writer; the first statement in it."""
    with driver_errors(conn, _TAKE_LOCK):
        raw: Any = conn.connection.driver_connection
        found = raw.execute(_TAKE_LOCK)
        while found.nextset():
            pass
        seq, turns, changed, clock = found.fetchone()
    kept_rows.begin_server(conn, raw, kept_rows.LedgerReached(seq, int(turns), changed), clock)


def changed_without_entry(conn: Connection) -> None:
    """Tell other programs on a server that tables were changed and no entry says so; see `kept_rows`."""
    if conn.dialect.name == "postgresql":
        conn.exec_driver_sql("UPDATE alembic_version SET version_num = version_num")
