"""A plant publishes its journal: what a group's database may subscribe to.

Only what is appended is published: entries, the raw scans packed beside them, and the signatures of stations. Scans that are not
sealed into an entry yet stay at the plant.
"""

from sqlalchemy import Connection, text

from tracelink.errors import UsageError
from tracelink.store.database.tables_journal import journal, journal_pack
from tracelink.store.database.tables_keys import scan_signature
from tracelink.store.ledger import Ledger

PUBLICATION = "runout_journal"
PUBLISHED = (journal, journal_pack, scan_signature)
"""Append-only tables, parents before children."""

_WAL_LEVEL = text("SELECT current_setting('wal_level')")
_SCHEMA = text("SELECT current_schema()")
_FOUND = text("SELECT 1 FROM pg_publication WHERE pubname = :name")


def publish(place: str) -> bool:
    """Let groups subscribe to the journal of a plant; returns False if they could already.

    Raises:
        UsageError: the ledger is a file, or its server does not keep what logical replication needs.
        LedgerError: as `Ledger.open`.
    """
    with Ledger.open(place) as ledger, ledger.transaction() as conn:
        _require_server(conn)
        if conn.execute(_FOUND, {"name": PUBLICATION}).first() is not None:
            return False
        tables = ", ".join(table.name for table in PUBLISHED)
        # What is changed or deleted is not passed on: nothing ever is, and a group must not be a way to do it.
        conn.exec_driver_sql(f"CREATE PUBLICATION {PUBLICATION} FOR TABLE {tables} WITH (publish = 'insert')")
    return True


def _require_server(conn: Connection) -> None:
    if conn.dialect.name != "postgresql":
        raise UsageError(
            "a group follows ledgers on PostgreSQL servers, and this one is a file: move it with `runout copy`"
        )
    level = conn.execute(_WAL_LEVEL).scalar()
    if level != "logical":
        raise UsageError(
            f"the server of this ledger has wal_level {level}: expected logical. Set wal_level = logical in its settings and "
            "start it anew"
        )
    schema = conn.execute(_SCHEMA).scalar()
    if schema != "public":
        raise UsageError(f"a plant publishes from the schema public: this ledger is in {schema}")
