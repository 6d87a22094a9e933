"""Tables of the journal: the truth, append-only; and the stored part of the Merkle tree over its hashes."""

from sqlalchemy import Column, ForeignKey, LargeBinary

from tracelink.store.database.columns import int_column, table, text_column

journal = table(
    "journal",
    int_column("seq", key=True),
    Column("hash", LargeBinary, nullable=False),
    text_column("kind"),
    Column("stored", LargeBinary, nullable=False),
)

journal_pack = table(
    "journal_pack",
    int_column("seq", ForeignKey("journal.seq"), key=True),
    Column("packed", LargeBinary, nullable=False),
)

tree_node = table(
    "tree_node",
    int_column("level", key=True),
    int_column("position", key=True),
    Column("hash", LargeBinary, nullable=False),
    rowid=False,
)
