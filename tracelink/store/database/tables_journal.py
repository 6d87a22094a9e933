"""Tables of the journal: the truth, append-only."""

from sqlalchemy import Column, ForeignKey, LargeBinary

from tracelink.store.database.columns import int_column, table, text_column

journal = table(
    "journal",
    int_column("seq", key=True),
    text_column("hash"),
    text_column("kind"),
    Column("canonical", LargeBinary, nullable=False),
)

journal_pack = table(
    "journal_pack",
    int_column("seq", ForeignKey("journal.seq"), key=True),
    Column("packed", LargeBinary, nullable=False),
)
