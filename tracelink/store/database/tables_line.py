"""Tables of the packing line: sleeves, cartons, their labels, and what belongs to a set."""

from sqlalchemy import CheckConstraint, ForeignKey, Index

from tracelink.ledger.closed_sets import CartonStatus, PrintStatus
from tracelink.store.database.columns import int_column, one_of, table, text_column

sleeve_batch = table(
    "sleeve_batch",
    text_column("code", key=True),
    text_column("gtin", ForeignKey("product.gtin")),
    int_column("quantity"),
    int_column("first_number", null=True),
    int_column("last_number", null=True),
    text_column("status"),
    int_column("seq"),
    one_of("status", *PrintStatus),
)

sscc_block = table(
    "sscc_block",
    int_column("seq", key=True),
    text_column("what"),
    text_column("extension"),
    int_column("first_serial"),
    int_column("last_serial"),
    CheckConstraint("first_serial <= last_serial", name="block_in_order"),
    one_of("what", "carton", "pallet"),
)

carton = table(
    "carton",
    text_column("sscc", key=True),
    text_column("gtin", ForeignKey("product.gtin")),
    text_column("status"),
    int_column("units"),
    text_column("station", ForeignKey("station.code")),
    int_column("seq"),
    one_of("status", *CartonStatus),
    rowid=False,
)

carton_sleeve = table(
    "carton_sleeve",
    text_column("carton", ForeignKey("carton.sscc"), key=True),
    text_column("batch", ForeignKey("sleeve_batch.code"), key=True),
    int_column("units"),
    rowid=False,
)
Index("ix_carton_sleeve_batch", carton_sleeve.c.batch)

numbered_sleeve = table(
    "numbered_sleeve",
    text_column("gtin", ForeignKey("product.gtin"), key=True),
    text_column("number", key=True),
    text_column("batch", ForeignKey("sleeve_batch.code")),
    text_column("carton", ForeignKey("carton.sscc")),
    int_column("seq"),
)
Index("ix_numbered_sleeve_carton", numbered_sleeve.c.carton)

lost_number = table(
    "lost_number",
    text_column("gtin", ForeignKey("product.gtin"), key=True),
    text_column("number", key=True),
    text_column("carton", ForeignKey("carton.sscc")),
    int_column("seq"),
)

issued_number = table(
    "issued_number",
    text_column("gtin", ForeignKey("product.gtin"), key=True),
    text_column("number", key=True),
    text_column("batch", ForeignKey("sleeve_batch.code")),
    int_column("seq"),
)
Index("ix_issued_number_batch", issued_number.c.batch)

label_count = table(
    "label_count",
    int_column("seq", key=True),
    text_column("subject"),
    text_column("fate"),
    int_column("quantity"),
    CheckConstraint("quantity >= 1", name="quantity_positive"),
    one_of("fate", "printed", "spoiled", "returned", "destroyed", "samples"),
)
Index("ix_label_count_subject", label_count.c.subject)

sscc_return = table(
    "sscc_return",
    int_column("seq", key=True),
    text_column("extension"),
    int_column("first_serial"),
    int_column("last_serial"),
    CheckConstraint("first_serial <= last_serial", name="range_in_order"),
)

void_label = table(
    "void_label",
    text_column("subject", key=True),
    text_column("replaced_by", null=True),
    int_column("seq"),
)

kit_item = table(
    "kit_item",
    text_column("code", key=True),
    text_column("name"),
    text_column("gtin", ForeignKey("product.gtin")),
    text_column("status"),
    int_column("seq"),
    one_of("status", *PrintStatus),
)
kit_piece = table(
    "kit_piece",
    text_column("gtin", ForeignKey("product.gtin"), key=True),
    int_column("place", key=True),
    int_column("disc", null=True),
    text_column("item", ForeignKey("kit_item.code"), null=True),
    text_column("name"),
)
clearance_area = table("clearance_area", int_column("line", key=True), text_column("name"))
carton_item = table(
    "carton_item",
    text_column("carton", ForeignKey("carton.sscc"), key=True),
    text_column("item", ForeignKey("kit_item.code"), key=True),
    int_column("quantity"),
    CheckConstraint("quantity >= 0", name="quantity_not_negative"),
    rowid=False,
)
hold_back = table(
    "hold_back",
    text_column("station", ForeignKey("station.code"), key=True),
    text_column("carton", ForeignKey("carton.sscc")),
    int_column("units"),
    int_column("left"),
    int_column("seq"),
    # "left" alone is a word of SQL.
    CheckConstraint('"left" >= 0 AND "left" <= units', name="left_of_units"),
)
