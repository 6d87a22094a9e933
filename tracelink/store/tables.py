"""The tables, as SQLAlchemy Core sees them.

Core tables, not mapped classes: rows are only ever written by projecting journal entries and read into the
frozen facts of the pure rooms, so there is nothing for an object mapper to track. Types are the three that a
STRICT SQLite table and PostgreSQL share: Integer, Text, LargeBinary. Triggers stand in the migrations.

Three families:
  journal, journal_pack           the truth; append-only
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
    MetaData,
    Table,
    Text,
    text,
)
from sqlalchemy.schema import SchemaItem

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _table(name: str, *items: SchemaItem, rowid: bool = True) -> Table:
    return Table(name, metadata, *items, sqlite_strict=True, sqlite_with_rowid=rowid)


def _text(name: str, *items: SchemaItem, key: bool = False, null: bool = False) -> Column[str]:
    return Column(name, Text, *items, primary_key=key, nullable=null and not key)


def _int(name: str, *items: SchemaItem, key: bool = False, null: bool = False) -> Column[int]:
    return Column(name, Integer, *items, primary_key=key, nullable=null and not key, autoincrement=False)


def _one_of(column: str, *words: str) -> CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=f"{column}_known")


journal = _table(
    "journal",
    _int("seq", key=True),
    _text("hash"),
    _text("kind"),
    Column("canonical", LargeBinary, nullable=False),
)
journal_pack = _table(
    "journal_pack",
    _int("seq", ForeignKey("journal.seq"), key=True),
    Column("packed", LargeBinary, nullable=False),
)

station = _table(
    "station",
    _text("code", key=True),
    _text("area"),
    _text("name"),
    _int("seq"),
    # The station's desk: the last scan booked and what the station has in hand (JSON).
    Column("last_number", Integer, nullable=False, server_default=text("0")),
    Column("desk", Text, nullable=False, server_default=text("'{}'")),
    _one_of("area", "tool", "press", "lab", "line", "dock"),
)
spool = _table(
    "spool",
    _text("station", ForeignKey("station.code"), key=True),
    _int("number", key=True),
    _text("at"),
    _text("raw"),
    _text("fact"),
    # Filled for a match only, so that a disc counts the moment its verdict is shown.
    _text("spindle", null=True),
    _text("lot", null=True),
    _text("carton", null=True),
    _text("sleeve_number", null=True),
)
Index(
    "ix_spool_spindle",
    spool.c.spindle,
    sqlite_where=text("spindle IS NOT NULL"),
    postgresql_where=text("spindle IS NOT NULL"),
)

plant = _table(
    "plant",
    _int("id", key=True),
    _text("name"),
    _text("company_prefix"),
    _text("matrix_pattern"),
    _text("matrix_example"),
    _int("seq"),
    CheckConstraint("id = 1", name="one_plant"),
)
setting = _table("setting", _text("name", key=True), _int("value"), _text("source"))

person = _table("person", _text("code", key=True), _text("name"), _int("seq"))
person_role = _table(
    "person_role", _text("person", ForeignKey("person.code"), key=True), _text("role", key=True)
)

product = _table(
    "product",
    _text("gtin", key=True),
    _text("catalogue_number"),
    _text("title"),
    _int("numbered"),
    _int("carton_size"),
    _int("seq"),
    CheckConstraint("carton_size >= 1", name="carton_size_positive"),
)
product_part = _table(
    "product_part",
    _text("gtin", ForeignKey("product.gtin"), key=True),
    _int("piece", key=True),
    _int("total"),
    _text("matrix_a"),
    _text("matrix_b"),
    CheckConstraint("piece >= 1 AND piece <= total", name="piece_in_set"),
)

tool = _table(
    "tool",
    _text("code", key=True),
    _text("what"),
    _text("parent", ForeignKey("tool.code"), null=True),
    _text("side"),
    _text("matrix"),
    _text("status"),
    _text("made_at"),
    _int("seq"),
    _one_of("what", "lacquer", "copper", "father", "mother", "stamper"),
    _one_of("side", "A", "B"),
    _one_of("status", "in use", "retired"),
)
Index("ix_tool_parent", tool.c.parent)

material = _table(
    "material",
    _text("code", key=True),
    _text("what"),
    _text("detail"),
    _text("gtin", ForeignKey("product.gtin"), null=True),
    _int("piece", null=True),
    _text("side", null=True),
    _int("seq"),
    _one_of("what", "compound", "label"),
)

lot = _table(
    "lot",
    _text("code", key=True),
    _text("gtin"),
    _int("piece"),
    _int("planned"),
    _text("press", ForeignKey("station.code"), null=True),
    _text("status"),
    _text("decision"),
    _int("counter"),
    _int("seq"),
    ForeignKeyConstraint(["gtin", "piece"], ["product_part.gtin", "product_part.piece"]),
    CheckConstraint("counter >= 0", name="counter_not_negative"),
    _one_of("status", "planned", "set up", "running", "pressed"),
    _one_of("decision", "pending", "released", "rejected"),
)
Index(
    "uq_lot_on_press",
    lot.c.press,
    unique=True,
    sqlite_where=text("status IN ('set up', 'running')"),
    postgresql_where=text("status IN ('set up', 'running')"),
)

run_segment = _table(
    "run_segment",
    _text("lot", ForeignKey("lot.code"), key=True),
    _int("first", key=True),
    _int("last"),
    _text("press", ForeignKey("station.code")),
    _text("stamper_a", ForeignKey("tool.code")),
    _text("stamper_b", ForeignKey("tool.code")),
    _int("life_a"),
    _int("life_b"),
    _text("compound", ForeignKey("material.code")),
    _text("label_a", ForeignKey("material.code")),
    _text("label_b", ForeignKey("material.code")),
    _int("seq"),
    CheckConstraint("first >= 1 AND last >= first - 1", name="range_in_order"),
    CheckConstraint("life_a >= 0 AND life_b >= 0", name="life_not_negative"),
)
for _column in ("press", "stamper_a", "stamper_b", "compound", "label_a", "label_b"):
    Index(f"ix_run_segment_{_column}", run_segment.c[_column])

spindle = _table(
    "spindle", _text("code", key=True), _text("lot", ForeignKey("lot.code")), _text("at"), _int("seq")
)

stock = _table(
    "stock",
    _text("place", key=True),
    _text("lot", ForeignKey("lot.code"), key=True),
    _int("quantity"),
    CheckConstraint("quantity >= 0", name="place_not_negative"),
    rowid=False,
)
movement = _table(
    "movement",
    _int("seq", key=True),
    _int("line", key=True),
    _text("lot", ForeignKey("lot.code")),
    _int("quantity"),
    _text("source"),
    _text("target"),
    _int("first", null=True),
    _int("last", null=True),
    _text("at"),
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

sample = _table(
    "sample",
    _text("code", key=True),
    _text("lot", ForeignKey("lot.code")),
    _int("stroke"),
    _text("at"),
    _int("seq"),
)
Index("uq_sample_lot_stroke", sample.c.lot, sample.c.stroke, unique=True)
judgement = _table(
    "judgement",
    _int("seq", key=True),
    _text("sample", ForeignKey("sample.code")),
    _int("good"),
    _text("defect", null=True),
    _int("corrected_by", null=True),
    CheckConstraint("(good = 1) = (defect IS NULL)", name="defect_when_bad"),
)
Index("ix_judgement_sample", judgement.c.sample)
measurement = _table(
    "measurement",
    _int("seq", key=True),
    _text("sample", ForeignKey("sample.code")),
    _text("quantity"),
    _text("value"),
    _text("unit"),
)

sleeve_batch = _table(
    "sleeve_batch",
    _text("code", key=True),
    _text("gtin", ForeignKey("product.gtin")),
    _int("quantity"),
    _int("first_number", null=True),
    _int("last_number", null=True),
    _text("status"),
    _int("seq"),
    _one_of("status", "current", "superseded"),
)
sscc_block = _table(
    "sscc_block",
    _int("seq", key=True),
    _text("what"),
    _text("extension"),
    _int("first_serial"),
    _int("last_serial"),
    CheckConstraint("first_serial <= last_serial", name="block_in_order"),
    _one_of("what", "carton", "pallet"),
)
carton = _table(
    "carton",
    _text("sscc", key=True),
    _text("gtin", ForeignKey("product.gtin")),
    _text("status"),
    _int("units"),
    _text("station", ForeignKey("station.code")),
    _int("seq"),
    _one_of("status", "open", "closed"),
)
carton_sleeve = _table(
    "carton_sleeve",
    _text("carton", ForeignKey("carton.sscc"), key=True),
    _text("batch", ForeignKey("sleeve_batch.code"), key=True),
    _int("units"),
    rowid=False,
)
Index("ix_carton_sleeve_batch", carton_sleeve.c.batch)
numbered_sleeve = _table(
    "numbered_sleeve",
    _text("gtin", ForeignKey("product.gtin"), key=True),
    _text("number", key=True),
    _text("batch", ForeignKey("sleeve_batch.code")),
    _text("carton", ForeignKey("carton.sscc")),
    _int("seq"),
)
Index("ix_numbered_sleeve_carton", numbered_sleeve.c.carton)

issued_number = _table(
    "issued_number",
    _text("gtin", ForeignKey("product.gtin"), key=True),
    _text("number", key=True),
    _text("batch", ForeignKey("sleeve_batch.code")),
    _int("seq"),
)
Index("ix_issued_number_batch", issued_number.c.batch)
label_count = _table(
    "label_count",
    _int("seq", key=True),
    _text("subject"),
    _text("fate"),
    _int("quantity"),
    CheckConstraint("quantity >= 1", name="quantity_positive"),
    _one_of("fate", "printed", "spoiled", "returned", "destroyed", "samples"),
)
Index("ix_label_count_subject", label_count.c.subject)
sscc_return = _table(
    "sscc_return",
    _int("seq", key=True),
    _text("extension"),
    _int("first_serial"),
    _int("last_serial"),
    CheckConstraint("first_serial <= last_serial", name="range_in_order"),
)
void_label = _table(
    "void_label",
    _text("subject", key=True),
    _text("replaced_by", null=True),
    _int("seq"),
)

pallet = _table(
    "pallet",
    _text("sscc", key=True),
    _text("status"),
    _text("station", ForeignKey("station.code")),
    _int("seq"),
    _one_of("status", "open", "closed", "accepted", "loaded", "shipped"),
)
customer_order = _table(
    "customer_order",
    _text("code", key=True),
    _text("consignee"),
    _text("country"),
    _text("gtin", ForeignKey("product.gtin")),
    _int("quantity"),
    _int("seq"),
)
shipment = _table(
    "shipment",
    _text("code", key=True),
    _text("order_code", ForeignKey("customer_order.code")),
    _text("status"),
    _text("station", ForeignKey("station.code")),
    _text("departed_at", null=True),
    _int("seq"),
    _one_of("status", "loading", "shipped"),
)
nesting = _table(
    "nesting",
    _text("child", key=True),
    _int("opened_seq", key=True),
    _text("parent"),
    _int("closed_seq", null=True),
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

hold = _table(
    "hold",
    _text("code", key=True),
    _text("cause"),
    _text("reason"),
    _text("person", ForeignKey("person.code"), null=True),
    _int("seq"),
    _int("lifted_seq", null=True),
)
hold_item = _table(
    "hold_item",
    _text("hold", ForeignKey("hold.code"), key=True),
    _int("line", key=True),
    _text("subject"),
    _int("first", null=True),
    _int("last", null=True),
)
Index("ix_hold_item_subject", hold_item.c.subject)

finding = _table(
    "finding",
    _int("seq", key=True),
    _text("finding"),
    _text("station", null=True),
    _text("person", null=True),
    _text("subject"),
    _text("expected"),
    _text("found"),
    _text("sentence"),
    _text("at"),
)

TRUTH = (journal, journal_pack)
"""Append-only."""

DESK = (spool,)
"""Scans committed and not sealed yet; `rebuild` reads them and leaves them as they are."""

SHADOW = tuple(table for table in metadata.sorted_tables if table not in (*TRUTH, *DESK))
"""Projected from the journal, parents before children."""
