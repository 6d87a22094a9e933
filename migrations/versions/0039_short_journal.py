"""Entries and raw scans in a few bytes; tables of cartons and stacks kept in the order of their key.

Why: the journal was three quarters of a ledger, and most of its bytes say what is said beside them. Canonical bytes and hashes
come out of the new form as they were, which is checked of every entry before it is written. An entry that does not have
the hash recorded is copied as it is, so that the fault stays to be found.
"""

from collections.abc import Callable

import sqlalchemy as sa
from alembic import op

from tracelink.store.compact.entry_form import stored_form
from tracelink.store.compact.pack_form import read_pack, stored_pack

revision = "0039"
down_revision = "0038"
branch_labels = None
depends_on = None

_AT_A_TIME = 1000
_IN_ORDER_OF_KEY = ("carton", "spindle")
_ROWS = sa.text(
    "SELECT j.seq, j.hash, j.kind, j.canonical FROM journal j WHERE j.seq > :after ORDER BY j.seq LIMIT :most"
)
_PACKS = sa.text("SELECT seq, packed FROM journal_pack WHERE seq > :after ORDER BY seq LIMIT :most")
_NEW_PACKS = sa.text("UPDATE journal_pack SET packed = :packed WHERE seq = :seq")


def upgrade() -> None:
    """Rewrite the journal in place, in the transaction of the upgrade: one that is cut off leaves all as it was."""
    conn = op.get_bind()
    if conn.dialect.name == "sqlite":
        _sqlite(conn)
    else:
        _postgresql(conn)


def _sqlite(conn: sa.Connection) -> None:
    # References in triggers of other tables are by name; SQLite would refuse a rename while a name is missing.
    conn.exec_driver_sql("PRAGMA legacy_alter_table=ON")
    triggers = _triggers(conn, ("journal", "journal_pack"))
    for name in triggers:
        conn.exec_driver_sql(f"DROP TRIGGER {name}")
    _packs(conn)
    _made_anew(conn, "journal", _shorter, _entries)
    for sql in triggers.values():
        conn.exec_driver_sql(sql)
    for table in _IN_ORDER_OF_KEY:
        _made_anew(conn, table, lambda sql: sql.replace("STRICT", "WITHOUT ROWID, STRICT"), _all_rows)
    conn.exec_driver_sql("PRAGMA legacy_alter_table=OFF")


def _shorter(sql: str) -> str:
    return sql.replace("hash TEXT", "hash BLOB").replace("canonical BLOB", "stored BLOB")


def _triggers(conn: sa.Connection, tables: tuple[str, ...]) -> dict[str, str]:
    query = sa.text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name IN :tables")
    found = conn.execute(query.bindparams(sa.bindparam("tables", list(tables), expanding=True)))
    return {row.name: row.sql for row in found}


def _made_anew(
    conn: sa.Connection,
    table: str,
    changed: Callable[[str], str],
    fill: Callable[[sa.Connection, str, str], None],
) -> None:
    """Make a table of SQLite again, as its own statement says with a change, and bring back indexes and triggers."""
    query = sa.text("SELECT type, sql FROM sqlite_master WHERE tbl_name = :table AND sql IS NOT NULL")
    made = conn.execute(query, {"table": table}).all()
    [own] = [sql for what, sql in made if what == "table"]
    fresh = f"{table}_0039"
    head, rest = own.split("(", 1)
    conn.exec_driver_sql(f"{head.replace(table, fresh)}({changed(rest)}")
    fill(conn, table, fresh)
    conn.exec_driver_sql(f'DROP TABLE "{table}"')
    conn.exec_driver_sql(f'ALTER TABLE "{fresh}" RENAME TO "{table}"')
    for what, sql in made:
        if what != "table":
            conn.exec_driver_sql(sql)


def _all_rows(conn: sa.Connection, table: str, fresh: str) -> None:
    conn.exec_driver_sql(f'INSERT INTO "{fresh}" SELECT * FROM "{table}"')


def _entries(conn: sa.Connection, _table: str, fresh: str) -> None:
    insert = sa.text(f"INSERT INTO {fresh} (seq, hash, kind, stored) VALUES (:seq, :hash, :kind, :stored)")
    after = 0
    while chunk := conn.execute(_ROWS, {"after": after, "most": _AT_A_TIME}).all():
        conn.execute(
            insert,
            [
                {"seq": seq, "hash": _binary(digest), "kind": kind, "stored": stored_form(bytes(canonical))}
                for seq, digest, kind, canonical in chunk
            ],
        )
        after = chunk[-1][0]


def _binary(digest: str) -> bytes:
    try:
        return bytes.fromhex(digest)
    except ValueError:
        # Somebody changed it; other bytes than those of a hash are a fault that is found, as it was before.
        return digest.encode()


def _packs(conn: sa.Connection) -> None:
    after = 0
    while chunk := conn.execute(_PACKS, {"after": after, "most": _AT_A_TIME}).all():
        conn.execute(
            _NEW_PACKS,
            [
                {"seq": seq, "packed": stored_pack(read_pack(bytes(packed), seq), seq)}
                for seq, packed in chunk
            ],
        )
        after = chunk[-1][0]


def _postgresql(conn: sa.Connection) -> None:
    for table in ("journal", "journal_pack"):
        op.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
    _packs(conn)
    op.execute("ALTER TABLE journal ADD COLUMN stored BYTEA")
    update = sa.text("UPDATE journal SET stored = :stored WHERE seq = :seq")
    after = 0
    while chunk := conn.execute(_ROWS, {"after": after, "most": _AT_A_TIME}).all():
        conn.execute(update, [{"seq": row.seq, "stored": stored_form(bytes(row.canonical))} for row in chunk])
        after = chunk[-1].seq
    op.execute(
        "ALTER TABLE journal ALTER COLUMN hash TYPE BYTEA USING "
        "CASE WHEN hash ~ '^([0-9a-f][0-9a-f])*$' THEN decode(hash, 'hex') ELSE convert_to(hash, 'UTF8') END"
    )
    op.execute("ALTER TABLE journal ALTER COLUMN stored SET NOT NULL")
    op.execute("ALTER TABLE journal DROP COLUMN canonical")
    for table in ("journal", "journal_pack"):
        op.execute(f"ALTER TABLE {table} ENABLE TRIGGER USER")
