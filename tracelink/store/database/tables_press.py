"""Tables of tools, materials, lots, their segments and movements, and of what happens at a press."""

from sqlalchemy import CheckConstraint, ForeignKey, ForeignKeyConstraint, Index

from tracelink.ledger.closed_sets import LotDecision, LotStatus, MovementSense, ToolStatus
from tracelink.store.database.columns import int_column, one_of, partial_index, table, text_column

tool = table(
    "tool",
    text_column("code", key=True),
    text_column("what"),
    text_column("parent", ForeignKey("tool.code"), null=True),
    text_column("side"),
    text_column("matrix"),
    text_column("status"),
    text_column("made_at"),
    int_column("seq"),
    one_of("what", "lacquer", "copper", "father", "mother", "stamper"),
    one_of("side", "A", "B"),
    one_of("status", *ToolStatus),
)
Index("ix_tool_parent", tool.c.parent)

material = table(
    "material",
    text_column("code", key=True),
    text_column("what"),
    text_column("detail"),
    text_column("gtin", ForeignKey("product.gtin"), null=True),
    int_column("piece", null=True),
    text_column("side", null=True),
    int_column("seq"),
    one_of("what", "compound", "label"),
)

lot = table(
    "lot",
    text_column("code", key=True),
    text_column("gtin"),
    int_column("piece"),
    int_column("planned"),
    text_column("press", ForeignKey("station.code"), null=True),
    text_column("status"),
    text_column("decision"),
    int_column("counter"),
    int_column("seq"),
    ForeignKeyConstraint(["gtin", "piece"], ["product_part.gtin", "product_part.piece"]),
    CheckConstraint("counter >= 0", name="counter_not_negative"),
    one_of("status", *LotStatus),
    one_of("decision", *LotDecision),
)
partial_index("uq_lot_on_press", lot.c.press, "status IN ('set up', 'running')", unique=True)

run_segment = table(
    "run_segment",
    text_column("lot", ForeignKey("lot.code"), key=True),
    int_column("first", key=True),
    int_column("last"),
    text_column("press", ForeignKey("station.code")),
    text_column("stamper_a", ForeignKey("tool.code")),
    text_column("stamper_b", ForeignKey("tool.code")),
    int_column("life_a"),
    int_column("life_b"),
    text_column("compound", ForeignKey("material.code")),
    text_column("label_a", ForeignKey("material.code")),
    text_column("label_b", ForeignKey("material.code")),
    int_column("seq"),
    CheckConstraint("first >= 1 AND last >= first - 1", name="range_in_order"),
    CheckConstraint("life_a >= 0 AND life_b >= 0", name="life_not_negative"),
)
for _column in ("press", "stamper_a", "stamper_b", "compound", "label_a", "label_b"):
    Index(f"ix_run_segment_{_column}", run_segment.c[_column])

spindle = table(
    "spindle",
    text_column("code", key=True),
    text_column("lot", ForeignKey("lot.code")),
    text_column("at"),
    int_column("seq"),
    rowid=False,
)

stock = table(
    "stock",
    text_column("place", key=True),
    text_column("lot", ForeignKey("lot.code"), key=True),
    int_column("quantity"),
    CheckConstraint("quantity >= 0", name="place_not_negative"),
    rowid=False,
)

movement = table(
    "movement",
    int_column("seq", key=True),
    int_column("line", key=True),
    text_column("lot", ForeignKey("lot.code")),
    int_column("quantity"),
    text_column("source"),
    text_column("target"),
    int_column("first", null=True),
    int_column("last", null=True),
    text_column("at"),
    text_column("sense", one_of("sense", *MovementSense), null=True),
    CheckConstraint("quantity >= 1", name="quantity_positive"),
    CheckConstraint("source <> target", name="goes_somewhere"),
    CheckConstraint(
        "(first IS NULL) = (last IS NULL) AND (first IS NULL OR (first >= 1 AND last >= first "
        "AND quantity <= last - first + 1))",
        name="range_holds_quantity",
    ),
)
Index("ix_movement_lot_source_first", movement.c.lot, movement.c.source, movement.c.first)
Index("ix_movement_target", movement.c.target)
Index("ix_movement_source", movement.c.source)
Index("ix_movement_at", movement.c.at)
Index("ix_stock_lot", stock.c.lot)
Index("ix_spindle_lot", spindle.c.lot, spindle.c.seq)

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
