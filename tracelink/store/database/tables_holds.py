"""Tables of holds and findings."""

from sqlalchemy import ForeignKey, Index

from tracelink.store.database.columns import int_column, table, text_column

hold = table(
    "hold",
    text_column("code", key=True),
    text_column("cause"),
    text_column("reason"),
    text_column("person", ForeignKey("person.code"), null=True),
    int_column("seq"),
    int_column("lifted_seq", null=True),
)

hold_item = table(
    "hold_item",
    text_column("hold", ForeignKey("hold.code"), key=True),
    int_column("line", key=True),
    text_column("subject"),
    int_column("first", null=True),
    int_column("last", null=True),
)
Index("ix_hold_item_subject", hold_item.c.subject)

finding = table(
    "finding",
    int_column("seq", key=True),
    text_column("finding"),
    text_column("station", null=True),
    text_column("person", null=True),
    text_column("subject"),
    text_column("expected"),
    text_column("found"),
    text_column("sentence"),
    text_column("at"),
)
Index("ix_finding_at", finding.c.at)
Index("ix_finding_finding", finding.c.finding)
