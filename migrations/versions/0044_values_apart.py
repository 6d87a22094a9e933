"""Entries and few raw scans with their values apart; nestings kept in the order of their key, and found by parent in order.

Why: more than half of a stored entry were texts that every entry of its kind has, and numbers written as digits. Canonical
bytes and hashes come out of the new form as they were, which is checked of every entry before it is written. An
entry that does not have the hash recorded stays as it is, so that the fault stays to be found.
"""

import sqlalchemy as sa
from alembic import op

from tracelink.ledger.entry import FIRST_PREV, entry_hash
from tracelink.ledger.packs import pack_hash
from tracelink.ledger.entry_pattern import joined
from tracelink.store.compact.entry_form import read_form, stored_form
from tracelink.store.compact.pack_form import read_pack, stored_pack

revision = "0044"
down_revision = "0043"
branch_labels = None
depends_on = None

_AT_A_TIME = 1000
_TRUTH = ("journal", "journal_pack")
_ROWS = sa.text(
    "SELECT j.seq, j.hash, j.stored, p.packed FROM journal j LEFT JOIN journal_pack p ON p.seq = j.seq "
    "WHERE j.seq > :after ORDER BY j.seq LIMIT :most"
)
_ENTRY = sa.text("UPDATE journal SET stored = :stored WHERE seq = :seq")
_PACK = sa.text("UPDATE journal_pack SET packed = :packed WHERE seq = :seq")


def upgrade() -> None:
    """Rewrite the journal in place, in the transaction of the upgrade: one that is cut off leaves all as it was."""
    conn = op.get_bind()
    if conn.dialect.name == "sqlite":
        triggers = _triggers(conn)
        for name in triggers:
            conn.exec_driver_sql(f"DROP TRIGGER {name}")
        _rewrite(conn)
        for sql in triggers.values():
            conn.exec_driver_sql(sql)
    else:
        for table in _TRUTH:
            op.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
        _rewrite(conn)
        for table in _TRUTH:
            op.execute(f"ALTER TABLE {table} ENABLE TRIGGER USER")
    op.drop_index("ix_nesting_parent", "nesting")
    if conn.dialect.name == "sqlite":
        _in_order_of_key(conn)
    op.create_index("ix_nesting_parent_opened_seq", "nesting", ["parent", "opened_seq"])


def _triggers(conn: sa.Connection) -> dict[str, str]:
    query = sa.text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name IN :tables")
    found = conn.execute(query.bindparams(sa.bindparam("tables", list(_TRUTH), expanding=True)))
    return {row.name: row.sql for row in found}


def _rewrite(conn: sa.Connection) -> None:
    after, before = 0, FIRST_PREV
    while chunk := conn.execute(_ROWS, {"after": after, "most": _AT_A_TIME}).all():
        entries, packs = [], []
        for seq, digest, stored, packed in chunk:
            pack = None if packed is None else read_pack(bytes(packed), seq)
            canonical = _canonical(bytes(stored), before if seq == after + 1 else None, pack)
            after, before = seq, bytes(digest).hex()
            if canonical is not None and entry_hash(canonical) == before:
                entries.append({"seq": seq, "stored": stored_form(canonical)})
            if pack is not None:
                packs.append({"seq": seq, "packed": stored_pack(pack, seq)})
        for statement, rows in ((_ENTRY, entries), (_PACK, packs)):
            if rows:
                conn.execute(statement, rows)


def _canonical(stored: bytes, prev: str | None, pack: bytes | None) -> bytes | None:
    """Return the canonical bytes of an entry; None where it is stored plain, or does not say them."""
    short = read_form(stored, prev, None if pack is None else pack_hash(pack))
    return None if short is None else joined(short.parts).encode()


def _in_order_of_key(conn: sa.Connection) -> None:
    # References in triggers of other tables are by name; SQLite would refuse a rename while a name is missing.
    conn.exec_driver_sql("PRAGMA legacy_alter_table=ON")
    query = sa.text("SELECT type, sql FROM sqlite_master WHERE tbl_name = 'nesting' AND sql IS NOT NULL")
    made = conn.execute(query).all()
    [own] = [sql for what, sql in made if what == "table"]
    head, rest = own.split("(", 1)
    conn.exec_driver_sql(
        f"{head.replace('nesting', 'nesting_0044')}({rest.replace('STRICT', 'WITHOUT ROWID, STRICT')}"
    )
    conn.exec_driver_sql("INSERT INTO nesting_0044 SELECT * FROM nesting ORDER BY child, opened_seq")
    conn.exec_driver_sql("DROP TABLE nesting")
    conn.exec_driver_sql("ALTER TABLE nesting_0044 RENAME TO nesting")
    for what, sql in made:
        if what != "table":
            conn.exec_driver_sql(sql)
    conn.exec_driver_sql("PRAGMA legacy_alter_table=OFF")
