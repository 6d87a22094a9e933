"""Tables of the balances, counts and investigations."""

from sqlalchemy import CheckConstraint, ForeignKey, Index

from tracelink.store.database.columns import int_column, table, text_column

stock_count = table(
    "stock_count",
    int_column("seq", key=True),
    text_column("lot", ForeignKey("lot.code"), key=True),
    text_column("place"),
    int_column("quantity"),
    int_column("expected"),
    CheckConstraint("quantity >= 0", name="quantity_not_negative"),
)
Index("ix_stock_count_lot", stock_count.c.lot)
investigation = table(
    "investigation",
    int_column("seq", key=True),
    text_column("subject"),
    int_column("difference", null=True),
    text_column("reason"),
    text_column("person", ForeignKey("person.code")),
    int_column("closed_seq", null=True),
)
Index("ix_investigation_subject", investigation.c.subject)

mixed_count = table(
    "mixed_count",
    int_column("seq", key=True),
    text_column("lot", ForeignKey("lot.code"), key=True),
    text_column("place"),
    int_column("own"),
    int_column("quantity"),
    int_column("expected"),
    CheckConstraint("quantity >= 0", name="quantity_not_negative"),
)
Index("ix_mixed_count_lot", mixed_count.c.lot)

carton_draw = table(
    "carton_draw",
    text_column("subject", key=True),
    text_column("carton", ForeignKey("carton.sscc"), key=True),
    int_column("seq"),
    text_column("rank"),
)
