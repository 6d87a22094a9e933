"""The stored part of the Merkle tree. Its leaves are the hashes of the journal itself."""

from sqlalchemy import Column, LargeBinary

from tracelink.store.database.columns import int_column, table

tree_node = table(
    "tree_node",
    int_column("level", key=True),
    int_column("position", key=True),
    Column("hash", LargeBinary, nullable=False),
    rowid=False,
)
