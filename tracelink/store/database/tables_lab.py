"""Tables of samples and what was judged and measured of them."""

from sqlalchemy import CheckConstraint, ForeignKey, Index

from tracelink.store.database.columns import int_column, table, text_column

sample = table(
    "sample",
    text_column("code", key=True),
    text_column("lot", ForeignKey("lot.code")),
    int_column("stroke", null=True),
    text_column("at"),
    int_column("seq"),
)
Index("uq_sample_lot_stroke", sample.c.lot, sample.c.stroke, unique=True)

judgement = table(
    "judgement",
    int_column("seq", key=True),
    text_column("sample", ForeignKey("sample.code")),
    int_column("good"),
    text_column("defect", null=True),
    int_column("corrected_by", null=True),
    CheckConstraint("(good = 1) = (defect IS NULL)", name="defect_when_bad"),
)
Index("ix_judgement_sample", judgement.c.sample)

measurement = table(
    "measurement",
    int_column("seq", key=True),
    text_column("sample", ForeignKey("sample.code")),
    text_column("quantity"),
    text_column("value"),
    text_column("unit"),
)
