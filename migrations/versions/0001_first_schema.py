"""The first schema: journal, desks, and the journal's shadow.

Why triggers: the journal and its packs are append-only (INSERT OR REPLACE, which deletes without firing a
delete trigger, is stopped because an entry must be the next one), and stroke ranges of one lot may neither
overlap nor leave the lot. They stop mistakes; only the hash chain detects whoever edits the file itself.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# Rule name -> (table, event, condition under which the row is refused, sentence). The conditions are the
# same SQL for SQLite and PostgreSQL.
RULES = {
    "journal_in_order": (
        "journal",
        "INSERT",
        "NEW.seq <> (SELECT COALESCE(MAX(j.seq), 0) + 1 FROM journal j)",
        "the journal is append-only: an entry must be the next one",
    ),
    "journal_no_update": ("journal", "UPDATE", "1 = 1", "the journal is append-only: no entry is edited"),
    "journal_no_delete": ("journal", "DELETE", "1 = 1", "the journal is append-only: no entry is deleted"),
    "journal_pack_once": (
        "journal_pack",
        "INSERT",
        "EXISTS (SELECT 1 FROM journal_pack p WHERE p.seq = NEW.seq)",
        "raw scans are append-only: this entry has its scans",
    ),
    "journal_pack_no_update": (
        "journal_pack",
        "UPDATE",
        "1 = 1",
        "raw scans are append-only: none is edited",
    ),
    "journal_pack_no_delete": (
        "journal_pack",
        "DELETE",
        "1 = 1",
        "raw scans are append-only: none is deleted",
    ),
    "run_segment_insert_no_overlap": (
        "run_segment",
        "INSERT",
        """EXISTS (SELECT 1 FROM run_segment s WHERE s.lot = NEW.lot AND s."first" <> NEW."first"
            AND s."first" <= NEW."last" AND s."last" >= NEW."first")""",
        "run segments of one lot may not overlap",
    ),
    "run_segment_update_no_overlap": (
        "run_segment",
        "UPDATE",
        """EXISTS (SELECT 1 FROM run_segment s WHERE s.lot = NEW.lot AND s."first" <> NEW."first"
            AND s."first" <= NEW."last" AND s."last" >= NEW."first")
            OR NEW."last" > (SELECT l.counter FROM lot l WHERE l.code = NEW.lot)""",
        "a run segment may neither overlap another nor pass the counter of its lot",
    ),
    "movement_in_lot": (
        "movement",
        "INSERT",
        """NEW."last" IS NOT NULL AND NEW."last" > (SELECT l.counter FROM lot l WHERE l.code = NEW.lot)""",
        "a stroke range may not pass the counter of its lot",
    ),
    "movement_stroke_once": (
        "movement",
        "INSERT",
        """NEW.source = 'counter' AND (NEW."first" IS NULL OR EXISTS (
            SELECT 1 FROM movement m WHERE m.lot = NEW.lot AND m.source = 'counter'
            AND m."first" <= NEW."last" AND m."last" >= NEW."first"))""",
        "a stroke leaves the press counter once, and its range is known",
    ),
    "sample_in_lot": (
        "sample",
        "INSERT",
        "NEW.stroke < 1 OR NEW.stroke > (SELECT l.counter FROM lot l WHERE l.code = NEW.lot)",
        "a sample's stroke must be one of its lot",
    ),
}


def upgrade() -> None:
    _create_tables()
    make = _sqlite_trigger if op.get_bind().dialect.name == "sqlite" else _postgresql_trigger
    for name, rule in RULES.items():
        for statement in make(name, *rule):
            op.execute(statement)


def _sqlite_trigger(name: str, table: str, event: str, condition: str, sentence: str) -> list[str]:
    quoted = sentence.replace("'", "''")
    return [
        f"CREATE TRIGGER {name} BEFORE {event} ON {table} WHEN {condition} "
        f"BEGIN SELECT RAISE(ABORT, '{quoted}'); END"
    ]


def _postgresql_trigger(name: str, table: str, event: str, condition: str, sentence: str) -> list[str]:
    result = "OLD" if event == "DELETE" else "NEW"
    quoted = sentence.replace("'", "''")
    return [
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF {condition} THEN RAISE EXCEPTION '{quoted}' USING ERRCODE = 'integrity_constraint_violation'; "
        f"END IF; RETURN {result}; END $$",
        f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()",
    ]


def _create_tables() -> None:
    op.create_table(
        "finding",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("finding", sa.Text(), nullable=False),
        sa.Column("station", sa.Text(), nullable=True),
        sa.Column("person", sa.Text(), nullable=True),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("expected", sa.Text(), nullable=False),
        sa.Column("found", sa.Text(), nullable=False),
        sa.Column("sentence", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_finding")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "journal",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("canonical", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_journal")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "nesting",
        sa.Column("child", sa.Text(), nullable=False),
        sa.Column("opened_seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("parent", sa.Text(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), autoincrement=False, nullable=True),
        sa.CheckConstraint("child <> parent", name=op.f("ck_nesting_not_in_itself")),
        sa.PrimaryKeyConstraint("child", "opened_seq", name=op.f("pk_nesting")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_nesting_parent", "nesting", ["parent"], unique=False)
    op.create_index(
        "uq_nesting_open_parent",
        "nesting",
        ["child"],
        unique=True,
        sqlite_where=sa.text("closed_seq IS NULL"),
        postgresql_where=sa.text("closed_seq IS NULL"),
    )
    op.create_table(
        "person",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_person")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "plant",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("company_prefix", sa.Text(), nullable=False),
        sa.Column("matrix_pattern", sa.Text(), nullable=False),
        sa.Column("matrix_example", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_plant_one_plant")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plant")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "product",
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("catalogue_number", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("numbered", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("carton_size", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("carton_size >= 1", name=op.f("ck_product_carton_size_positive")),
        sa.PrimaryKeyConstraint("gtin", name=op.f("pk_product")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "setting",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_setting")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "sscc_block",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("extension", sa.Text(), nullable=False),
        sa.Column("first_serial", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("last_serial", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("what IN ('carton', 'pallet')", name=op.f("ck_sscc_block_what_known")),
        sa.CheckConstraint("first_serial <= last_serial", name=op.f("ck_sscc_block_block_in_order")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_sscc_block")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "station",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("area", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("last_number", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("desk", sa.Text(), server_default=sa.text("'{}'"), nullable=False),
        sa.CheckConstraint(
            "area IN ('tool', 'press', 'lab', 'line', 'dock')", name=op.f("ck_station_area_known")
        ),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_station")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "tool",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("parent", sa.Text(), nullable=True),
        sa.Column("side", sa.Text(), nullable=False),
        sa.Column("matrix", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("side IN ('A', 'B')", name=op.f("ck_tool_side_known")),
        sa.CheckConstraint("status IN ('in use', 'retired')", name=op.f("ck_tool_status_known")),
        sa.CheckConstraint(
            "what IN ('lacquer', 'copper', 'father', 'mother', 'stamper')", name=op.f("ck_tool_what_known")
        ),
        sa.ForeignKeyConstraint(["parent"], ["tool.code"], name=op.f("fk_tool_parent")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_tool")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_tool_parent", "tool", ["parent"], unique=False)
    op.create_table(
        "carton",
        sa.Column("sscc", sa.Text(), nullable=False),
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("units", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("station", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("status IN ('open', 'closed')", name=op.f("ck_carton_status_known")),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_carton_gtin")),
        sa.ForeignKeyConstraint(["station"], ["station.code"], name=op.f("fk_carton_station")),
        sa.PrimaryKeyConstraint("sscc", name=op.f("pk_carton")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "customer_order",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("consignee", sa.Text(), nullable=False),
        sa.Column("country", sa.Text(), nullable=False),
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_customer_order_gtin")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_customer_order")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "hold",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("lifted_seq", sa.Integer(), autoincrement=False, nullable=True),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_hold_person")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_hold")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "journal_pack",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("packed", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["journal.seq"], name=op.f("fk_journal_pack_seq")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_journal_pack")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "material",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.Column("gtin", sa.Text(), nullable=True),
        sa.Column("piece", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("side", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("what IN ('compound', 'label')", name=op.f("ck_material_what_known")),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_material_gtin")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_material")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "pallet",
        sa.Column("sscc", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("station", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint(
            "status IN ('open', 'closed', 'accepted', 'loaded', 'shipped')",
            name=op.f("ck_pallet_status_known"),
        ),
        sa.ForeignKeyConstraint(["station"], ["station.code"], name=op.f("fk_pallet_station")),
        sa.PrimaryKeyConstraint("sscc", name=op.f("pk_pallet")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "person_role",
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_person_role_person")),
        sa.PrimaryKeyConstraint("person", "role", name=op.f("pk_person_role")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "product_part",
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("piece", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("total", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("matrix_a", sa.Text(), nullable=False),
        sa.Column("matrix_b", sa.Text(), nullable=False),
        sa.CheckConstraint("piece >= 1 AND piece <= total", name=op.f("ck_product_part_piece_in_set")),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_product_part_gtin")),
        sa.PrimaryKeyConstraint("gtin", "piece", name=op.f("pk_product_part")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "sleeve_batch",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first_number", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("last_number", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("status IN ('current', 'superseded')", name=op.f("ck_sleeve_batch_status_known")),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_sleeve_batch_gtin")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_sleeve_batch")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "spool",
        sa.Column("station", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("raw", sa.Text(), nullable=False),
        sa.Column("fact", sa.Text(), nullable=False),
        sa.Column("spindle", sa.Text(), nullable=True),
        sa.Column("lot", sa.Text(), nullable=True),
        sa.Column("carton", sa.Text(), nullable=True),
        sa.Column("sleeve_number", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["station"], ["station.code"], name=op.f("fk_spool_station")),
        sa.PrimaryKeyConstraint("station", "number", name=op.f("pk_spool")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index(
        "ix_spool_spindle",
        "spool",
        ["spindle"],
        unique=False,
        sqlite_where=sa.text("spindle IS NOT NULL"),
        postgresql_where=sa.text("spindle IS NOT NULL"),
    )
    op.create_table(
        "carton_sleeve",
        sa.Column("carton", sa.Text(), nullable=False),
        sa.Column("batch", sa.Text(), nullable=False),
        sa.Column("units", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["batch"], ["sleeve_batch.code"], name=op.f("fk_carton_sleeve_batch")),
        sa.ForeignKeyConstraint(["carton"], ["carton.sscc"], name=op.f("fk_carton_sleeve_carton")),
        sa.PrimaryKeyConstraint("carton", "batch", name=op.f("pk_carton_sleeve")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_carton_sleeve_batch", "carton_sleeve", ["batch"], unique=False)
    op.create_table(
        "hold_item",
        sa.Column("hold", sa.Text(), nullable=False),
        sa.Column("line", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("first", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("last", sa.Integer(), autoincrement=False, nullable=True),
        sa.ForeignKeyConstraint(["hold"], ["hold.code"], name=op.f("fk_hold_item_hold")),
        sa.PrimaryKeyConstraint("hold", "line", name=op.f("pk_hold_item")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_hold_item_subject", "hold_item", ["subject"], unique=False)
    op.create_table(
        "lot",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("piece", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("planned", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("press", sa.Text(), nullable=True),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("decision", sa.Text(), nullable=False),
        sa.Column("counter", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint(
            "decision IN ('pending', 'released', 'rejected')", name=op.f("ck_lot_decision_known")
        ),
        sa.CheckConstraint(
            "status IN ('planned', 'set up', 'running', 'pressed')", name=op.f("ck_lot_status_known")
        ),
        sa.CheckConstraint("counter >= 0", name=op.f("ck_lot_counter_not_negative")),
        sa.ForeignKeyConstraint(
            ["gtin", "piece"], ["product_part.gtin", "product_part.piece"], name=op.f("fk_lot_gtin_piece")
        ),
        sa.ForeignKeyConstraint(["press"], ["station.code"], name=op.f("fk_lot_press")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_lot")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index(
        "uq_lot_on_press",
        "lot",
        ["press"],
        unique=True,
        sqlite_where=sa.text("status IN ('set up', 'running')"),
        postgresql_where=sa.text("status IN ('set up', 'running')"),
    )
    op.create_table(
        "numbered_sleeve",
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("batch", sa.Text(), nullable=False),
        sa.Column("carton", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["batch"], ["sleeve_batch.code"], name=op.f("fk_numbered_sleeve_batch")),
        sa.ForeignKeyConstraint(["carton"], ["carton.sscc"], name=op.f("fk_numbered_sleeve_carton")),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_numbered_sleeve_gtin")),
        sa.PrimaryKeyConstraint("gtin", "number", name=op.f("pk_numbered_sleeve")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_numbered_sleeve_carton", "numbered_sleeve", ["carton"], unique=False)
    op.create_table(
        "shipment",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("order_code", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("station", sa.Text(), nullable=False),
        sa.Column("departed_at", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("status IN ('loading', 'shipped')", name=op.f("ck_shipment_status_known")),
        sa.ForeignKeyConstraint(["order_code"], ["customer_order.code"], name=op.f("fk_shipment_order_code")),
        sa.ForeignKeyConstraint(["station"], ["station.code"], name=op.f("fk_shipment_station")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_shipment")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "movement",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("line", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("target", sa.Text(), nullable=False),
        sa.Column("first", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("last", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("at", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "(first IS NULL) = (last IS NULL) AND (first IS NULL OR (first >= 1 AND last >= first "
            "AND quantity <= last - first + 1))",
            name=op.f("ck_movement_range_holds_quantity"),
        ),
        sa.CheckConstraint("quantity >= 1", name=op.f("ck_movement_quantity_positive")),
        sa.CheckConstraint("source <> target", name=op.f("ck_movement_goes_somewhere")),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_movement_lot")),
        sa.PrimaryKeyConstraint("seq", "line", name=op.f("pk_movement")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_movement_lot_source_first", "movement", ["lot", "source", "first"], unique=False)
    op.create_index("ix_movement_source", "movement", ["source"], unique=False)
    op.create_index("ix_movement_target", "movement", ["target"], unique=False)
    op.create_table(
        "run_segment",
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("first", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("last", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("press", sa.Text(), nullable=False),
        sa.Column("stamper_a", sa.Text(), nullable=False),
        sa.Column("stamper_b", sa.Text(), nullable=False),
        sa.Column("life_a", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("life_b", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("compound", sa.Text(), nullable=False),
        sa.Column("label_a", sa.Text(), nullable=False),
        sa.Column("label_b", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("first >= 1 AND last >= first - 1", name=op.f("ck_run_segment_range_in_order")),
        sa.CheckConstraint("life_a >= 0 AND life_b >= 0", name=op.f("ck_run_segment_life_not_negative")),
        sa.ForeignKeyConstraint(["compound"], ["material.code"], name=op.f("fk_run_segment_compound")),
        sa.ForeignKeyConstraint(["label_a"], ["material.code"], name=op.f("fk_run_segment_label_a")),
        sa.ForeignKeyConstraint(["label_b"], ["material.code"], name=op.f("fk_run_segment_label_b")),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_run_segment_lot")),
        sa.ForeignKeyConstraint(["press"], ["station.code"], name=op.f("fk_run_segment_press")),
        sa.ForeignKeyConstraint(["stamper_a"], ["tool.code"], name=op.f("fk_run_segment_stamper_a")),
        sa.ForeignKeyConstraint(["stamper_b"], ["tool.code"], name=op.f("fk_run_segment_stamper_b")),
        sa.PrimaryKeyConstraint("lot", "first", name=op.f("pk_run_segment")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_run_segment_compound", "run_segment", ["compound"], unique=False)
    op.create_index("ix_run_segment_label_a", "run_segment", ["label_a"], unique=False)
    op.create_index("ix_run_segment_label_b", "run_segment", ["label_b"], unique=False)
    op.create_index("ix_run_segment_press", "run_segment", ["press"], unique=False)
    op.create_index("ix_run_segment_stamper_a", "run_segment", ["stamper_a"], unique=False)
    op.create_index("ix_run_segment_stamper_b", "run_segment", ["stamper_b"], unique=False)
    op.create_table(
        "sample",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("stroke", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_sample_lot")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_sample")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("uq_sample_lot_stroke", "sample", ["lot", "stroke"], unique=True)
    op.create_table(
        "spindle",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_spindle_lot")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_spindle")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "stock",
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("quantity >= 0", name=op.f("ck_stock_place_not_negative")),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_stock_lot")),
        sa.PrimaryKeyConstraint("place", "lot", name=op.f("pk_stock")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "judgement",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("sample", sa.Text(), nullable=False),
        sa.Column("good", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("defect", sa.Text(), nullable=True),
        sa.Column("corrected_by", sa.Integer(), autoincrement=False, nullable=True),
        sa.CheckConstraint("(good = 1) = (defect IS NULL)", name=op.f("ck_judgement_defect_when_bad")),
        sa.ForeignKeyConstraint(["sample"], ["sample.code"], name=op.f("fk_judgement_sample")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_judgement")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_judgement_sample", "judgement", ["sample"], unique=False)
    op.create_table(
        "measurement",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("sample", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["sample"], ["sample.code"], name=op.f("fk_measurement_sample")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_measurement")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
