"""Tables of the packing line beyond disc against sleeve."""

from sqlalchemy import CheckConstraint, ForeignKey

from tracelink.store.database.columns import int_column, one_of, table, text_column

kit_item = table(
    "kit_item",
    text_column("code", key=True),
    text_column("name"),
    text_column("gtin", ForeignKey("product.gtin")),
    text_column("status"),
    int_column("seq"),
    one_of("status", "current", "superseded"),
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
