"""Merkle tree over the journal: the hashes of its complete subtrees, every fourth level.

Why: a chain can only be checked from end to end. With the tree an entry is shown to be in the journal, and the
journal is shown to have only grown since an earlier checkpoint, by a few dozen hashes. The leaves are the hashes
in the journal, which stays as it is; what is stored of the tree is filled here for the entries already there.

Scans that are not sealed into an entry yet were protected by nothing: each gets its own hash beside it.
"""

import hashlib
import json

import sqlalchemy as sa
from alembic import op

from tracelink.errors import JournalError

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

SPOOLED = ("station", "number", "at", "raw", "fact", "spindle", "lot", "carton", "sleeve_number")

FAN = 16
"""Subtrees of 16, 256, 4096 ... entries are stored (RFC 6962 section 2.1 hashes)."""


def upgrade() -> None:
    """The table, filled from the journal."""
    op.create_table(
        "tree_node",
        sa.Column("level", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("hash", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("level", "position", name=op.f("pk_tree_node")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    conn = op.get_bind()
    _fill_tree(conn)
    op.add_column("spool", sa.Column("digest", sa.Text(), nullable=False, server_default=sa.text("''")))
    for row in conn.execute(sa.text("SELECT * FROM spool")).mappings().all():
        values = [row[name] for name in SPOOLED]
        text = json.dumps(values, ensure_ascii=False, separators=(",", ":")).encode()
        conn.execute(
            sa.text("UPDATE spool SET digest = :digest WHERE station = :station AND number = :number"),
            {
                "digest": hashlib.sha256(b"\x03" + text).hexdigest(),
                "station": row["station"],
                "number": row["number"],
            },
        )


def _fill_tree(conn: sa.Connection) -> None:
    entries = conn.execute(sa.text("SELECT MAX(seq) FROM journal")).scalar() or 0
    leaves = "SELECT hash FROM journal WHERE seq > :first AND seq <= :last ORDER BY seq"
    nodes = (
        "SELECT hash FROM tree_node WHERE level = :level AND position >= :first AND position < :last ORDER BY position"
    )
    level, count = 0, entries
    while count >= FAN:
        query = sa.text(nodes if level else leaves)
        for first in range(0, count - count % FAN, FAN * FAN):
            last = min(first + FAN * FAN, count - count % FAN)
            values = {"first": first, "last": last, **({"level": level} if level else {})}
            found = conn.execute(query, values).scalars().all()
            if len(found) != last - first:
                raise JournalError(
                    f"entries are missing in the journal up to entry {entries}: it cannot be upgraded; keep the file as "
                    "it is, and compare it with a backup"
                )
            hashes = [bytes(one) if level else bytes.fromhex(one) for one in found]
            rows = [
                {"level": level + 4, "position": (first + at) // FAN, "hash": _folded(hashes[at : at + FAN])}
                for at in range(0, len(hashes), FAN)
            ]
            conn.execute(
                sa.text("INSERT INTO tree_node (level, position, hash) VALUES (:level, :position, :hash)"), rows
            )
        level, count = level + 4, count // FAN


def _folded(hashes: list[bytes]) -> bytes:
    while len(hashes) > 1:
        pairs = zip(hashes[::2], hashes[1::2], strict=True)
        hashes = [hashlib.sha256(b"\x01" + left + right).digest() for left, right in pairs]
    return hashes[0]
