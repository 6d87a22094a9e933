"""The tables, as SQLAlchemy Core sees them.

Core tables, not mapped classes: rows are only ever written by projecting journal entries and read into the
frozen facts of the pure rooms, so there is nothing for an object mapper to track. Types are the three that a
STRICT SQLite table and PostgreSQL share: Integer, Text, LargeBinary. Triggers stand in the migrations.

Four families:
  journal, journal_pack           the truth; append-only
  tree_node                       the Merkle tree over the journal's hashes
  spool, station                  what lies on the stations' desks right now and is not sealed yet
  everything else                 the journal's shadow; `rebuild` makes it anew
"""

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    Text,
    text,
)

from tracelink.store.database import (
    tables_access,
    tables_balance,
    tables_case,
    tables_dock,
    tables_line,
    tables_press,
    tables_tree,
)
from tracelink.store.database.columns import int_column, metadata, one_of, table, text_column

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

station = table(
    "station",
    text_column("code", key=True),
    text_column("area"),
    text_column("name"),
    int_column("seq"),
    # The station's desk: the last scan booked and what the station has in hand (JSON).
    Column("last_number", Integer, nullable=False, server_default=text("0")),
    Column("desk", Text, nullable=False, server_default=text("'{}'")),
    one_of("area", "tool", "press", "lab", "line", "dock"),
)
spool = table(
    "spool",
    text_column("station", ForeignKey("station.code"), key=True),
    int_column("number", key=True),
    text_column("at"),
    text_column("raw"),
    text_column("fact"),
    # Filled for a match only, so that a disc counts the moment its verdict is shown.
    text_column("spindle", null=True),
    text_column("lot", null=True),
    text_column("carton", null=True),
    text_column("sleeve_number", null=True),
    # Hash of all of the above, because nothing else protects a scan before it is sealed into an entry.
    Column("digest", Text, nullable=False, server_default=text("''")),
)
Index(
    "ix_spool_spindle",
    spool.c.spindle,
    sqlite_where=text("spindle IS NOT NULL"),
    postgresql_where=text("spindle IS NOT NULL"),
)

plant = table(
    "plant",
    int_column("id", key=True),
    text_column("name"),
    text_column("company_prefix"),
    text_column("matrix_pattern"),
    text_column("matrix_example"),
    int_column("seq"),
    CheckConstraint("id = 1", name="one_plant"),
)
setting = table("setting", text_column("name", key=True), int_column("value"), text_column("source"))

person = table("person", text_column("code", key=True), text_column("name"), int_column("seq"))
person_role = table(
    "person_role", text_column("person", ForeignKey("person.code"), key=True), text_column("role", key=True)
)

product = table(
    "product",
    text_column("gtin", key=True),
    text_column("catalogue_number"),
    text_column("title"),
    int_column("numbered"),
    int_column("carton_size"),
    int_column("seq"),
    CheckConstraint("carton_size >= 1", name="carton_size_positive"),
)
product_part = table(
    "product_part",
    text_column("gtin", ForeignKey("product.gtin"), key=True),
    int_column("piece", key=True),
    int_column("total"),
    text_column("matrix_a"),
    text_column("matrix_b"),
    CheckConstraint("piece >= 1 AND piece <= total", name="piece_in_set"),
)

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
    one_of("status", "in use", "retired"),
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
    one_of("status", "planned", "set up", "running", "pressed"),
    one_of("decision", "pending", "released", "rejected"),
)
Index(
    "uq_lot_on_press",
    lot.c.press,
    unique=True,
    sqlite_where=text("status IN ('set up', 'running')"),
    postgresql_where=text("status IN ('set up', 'running')"),
)

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

sample = table(
    "sample",
    text_column("code", key=True),
    text_column("lot", ForeignKey("lot.code")),
    int_column("stroke"),
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

sleeve_batch = table(
    "sleeve_batch",
    text_column("code", key=True),
    text_column("gtin", ForeignKey("product.gtin")),
    int_column("quantity"),
    int_column("first_number", null=True),
    int_column("last_number", null=True),
    text_column("status"),
    int_column("seq"),
    one_of("status", "current", "superseded"),
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
    one_of("status", "open", "closed", "broken", "returned", "destroyed"),
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

pallet = table(
    "pallet",
    text_column("sscc", key=True),
    text_column("status"),
    text_column("station", ForeignKey("station.code")),
    int_column("seq"),
    one_of("status", "open", "closed", "accepted", "loaded", "shipped"),
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
    one_of("status", "loading", "shipped"),
)
nesting = table(
    "nesting",
    text_column("child", key=True),
    int_column("opened_seq", key=True),
    text_column("parent"),
    int_column("closed_seq", null=True),
    CheckConstraint("child <> parent", name="not_in_itself"),
)
Index("ix_nesting_parent", nesting.c.parent)
Index(
    "uq_nesting_open_parent",
    nesting.c.child,
    unique=True,
    sqlite_where=text("closed_seq IS NULL"),
    postgresql_where=text("closed_seq IS NULL"),
)

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

TRUTH = (journal, journal_pack)
"""Append-only."""

DESK = (spool,)
"""Scans committed and not sealed yet; `rebuild` reads them and leaves them as they are."""

TREE = (tables_tree.tree_node,)
"""Hashes over the hashes of the journal; see store/journal/subtrees.py."""

SHADOW = tuple(each for each in metadata.sorted_tables if each not in (*TRUTH, *TREE, *DESK))
"""Projected from the journal, parents before children."""

AREAS = (tables_access, tables_line, tables_dock, tables_balance, tables_case, tables_tree, tables_press)
"""The modules with the tables of single work areas; imported so that their tables are known."""
