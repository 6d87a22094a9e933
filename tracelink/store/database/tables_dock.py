"""Tables of the warehouse and dock: pallets, orders, shipments, and what stands in what."""

from sqlalchemy import CheckConstraint, ForeignKey, Index

from tracelink.ledger.closed_sets import NumberState, PalletStatus, ReturnStatus, ShipmentStatus
from tracelink.store.database.columns import int_column, one_of, partial_index, table, text_column

pallet = table(
    "pallet",
    text_column("sscc", key=True),
    text_column("status"),
    text_column("station", ForeignKey("station.code")),
    int_column("seq"),
    one_of("status", *PalletStatus),
)

customer_order = table(
    "customer_order",
    text_column("code", key=True),
    text_column("consignee"),
    text_column("country"),
    text_column("gtin", ForeignKey("product.gtin")),
    int_column("quantity"),
    int_column("seq"),
)

shipment = table(
    "shipment",
    text_column("code", key=True),
    text_column("order_code", ForeignKey("customer_order.code")),
    text_column("status"),
    text_column("station", ForeignKey("station.code")),
    text_column("departed_at", null=True),
    int_column("seq"),
    int_column("departed_seq", null=True),
    one_of("status", *ShipmentStatus),
)
Index("ix_shipment_order_code", shipment.c.order_code)

nesting = table(
    "nesting",
    text_column("child", key=True),
    int_column("opened_seq", key=True),
    text_column("parent"),
    int_column("closed_seq", null=True),
    CheckConstraint("child <> parent", name="not_in_itself"),
    rowid=False,
)
Index("ix_nesting_parent_opened_seq", nesting.c.parent, nesting.c.opened_seq)
partial_index("uq_nesting_open_parent", nesting.c.child, "closed_seq IS NULL", unique=True)

location = table(
    "location", text_column("code", key=True), text_column("name"), int_column("seq"), rowid=False
)

allocation = table(
    "allocation",
    text_column("subject", key=True),
    int_column("seq", key=True),
    text_column("order_code", ForeignKey("customer_order.code")),
    int_column("units"),
    int_column("released_seq", null=True),
    CheckConstraint("units >= 1", name="units_positive"),
)
Index("ix_allocation_order_code", allocation.c.order_code)
partial_index("uq_allocation_open", allocation.c.subject, "released_seq IS NULL", unique=True)

driver_check = table(
    "driver_check",
    int_column("seq", key=True),
    text_column("shipment", ForeignKey("shipment.code")),
    text_column("name"),
)
Index("ix_driver_check_shipment", driver_check.c.shipment)

return_line = table(
    "return_line",
    int_column("number", key=True),
    text_column("carton", ForeignKey("carton.sscc"), null=True),
    text_column("lot", ForeignKey("lot.code"), null=True),
    text_column("matrix", null=True),
    text_column("mark", null=True),
    int_column("discs"),
    text_column("status"),
    int_column("seq"),
    CheckConstraint("discs >= 1", name="discs_positive"),
    CheckConstraint("(carton IS NULL) = (matrix IS NOT NULL)", name="carton_or_matrix"),
    one_of("status", *ReturnStatus),
)
Index("ix_return_line_carton", return_line.c.carton)
Index("ix_return_line_lot", return_line.c.lot)

aggregation_check = table(
    "aggregation_check",
    int_column("seq", key=True),
    text_column("carton", ForeignKey("carton.sscc")),
    int_column("recorded"),
    int_column("counted"),
)

number_fate = table(
    "number_fate",
    text_column("gtin", ForeignKey("product.gtin"), key=True),
    text_column("number", key=True),
    int_column("seq", key=True),
    text_column("fate"),
    int_column("return_number", ForeignKey("return_line.number"), null=True),
    text_column("carton", null=True),
    one_of("fate", *NumberState),
)
Index("ix_number_fate_return_number", number_fate.c.return_number)

order_line = table(
    "order_line",
    text_column("order_code", ForeignKey("customer_order.code"), key=True),
    int_column("line", key=True),
    text_column("gtin", ForeignKey("product.gtin")),
    int_column("quantity"),
    CheckConstraint("quantity >= 1", name="quantity_positive"),
)
Index("uq_order_line_product", order_line.c.order_code, order_line.c.gtin, unique=True)
