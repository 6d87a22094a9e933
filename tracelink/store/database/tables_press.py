"""Tables of the press room beside the lots and their segments."""

from sqlalchemy import CheckConstraint, ForeignKey, Index

from tracelink.store.database.columns import int_column, table, text_column

hopper_emptied = table(
    "hopper_emptied",
    int_column("seq", key=True),
    text_column("press", ForeignKey("station.code")),
    text_column("lot", ForeignKey("lot.code")),
    # The last stroke that was pressed before.
    int_column("after"),
    CheckConstraint('"after" >= 0', name="after_not_negative"),
)
Index("ix_hopper_emptied_press", hopper_emptied.c.press)
