"""The assembly hall: parts and their bills of material, reels, what machines placed, and built pieces.

Why: a bad reel is traced to units and customers like a bad stamper, so which pieces took which positions of which reel is
recorded, and what was joined into a unit. Stations of a new area record it; on SQLite the tables that name the areas are
made anew for that, with foreign keys off (see `store/database/schema.py`), and keep their rows. The new tables start empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0034"
down_revision = "0033"
branch_labels = None
depends_on = None

_AREAS = "area IN ('tool', 'press', 'lab', 'line', 'dock', 'process', 'assembly')"
_STRICT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    for table in ("station", "reason"):
        name = op.f(f"ck_{table}_area_known")
        with op.batch_alter_table(table, table_kwargs=_STRICT) as batch:
            batch.drop_constraint(name, type_="check")
            batch.create_check_constraint(name, _AREAS)
    _create_parts()
    _create_reels()
    _create_runs()
    _create_pieces()
    _create_indexes()


def _text(name: str, *, null: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=null)


def _number(name: str, *, null: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), autoincrement=False, nullable=null)


def _create_parts() -> None:
    op.create_table(
        "part_kind",
        _text("number"),
        _text("what"),
        _number("sample", null=True),
        _number("seq"),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_part_kind")),
        **_STRICT,
    )
    op.create_table(
        "bill",
        _text("part"),
        _text("version"),
        _text("since"),
        _text("gtin", null=True),
        _number("seq"),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_bill_gtin")),
        sa.ForeignKeyConstraint(["part"], ["part_kind.number"], name=op.f("fk_bill_part")),
        sa.PrimaryKeyConstraint("part", "version", name=op.f("pk_bill")),
        **_STRICT,
    )
    op.create_table(
        "bill_line",
        _text("item"),
        _text("version"),
        _number("line"),
        _text("part"),
        _text("revision"),
        _number("quantity"),
        _text("slot", null=True),
        sa.ForeignKeyConstraint(
            ["item", "version"], ["bill.part", "bill.version"], name=op.f("fk_bill_line_item_version")
        ),
        sa.ForeignKeyConstraint(["part"], ["part_kind.number"], name=op.f("fk_bill_line_part")),
        sa.PrimaryKeyConstraint("item", "version", "line", name=op.f("pk_bill_line")),
        **_STRICT,
    )
    op.create_table(
        "slot",
        _text("code"),
        _text("station"),
        _text("what"),
        _number("seq"),
        sa.ForeignKeyConstraint(["station"], ["station.code"], name=op.f("fk_slot_station")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_slot")),
        **_STRICT,
    )


def _create_reels() -> None:
    op.create_table(
        "part_lot",
        _text("code"),
        _text("part"),
        _text("revision"),
        _text("supplier_lot"),
        _text("date_code"),
        _number("quantity"),
        _text("status"),
        _number("tested"),
        _number("failed"),
        _number("taken"),
        _text("at"),
        _number("seq"),
        sa.CheckConstraint("taken + failed <= quantity", name=op.f("ck_part_lot_takes_no_more_than_came")),
        sa.CheckConstraint(
            "status IN ('in quarantine', 'accepted', 'rejected')", name=op.f("ck_part_lot_status_known")
        ),
        sa.ForeignKeyConstraint(["part"], ["part_kind.number"], name=op.f("fk_part_lot_part")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_part_lot")),
        **_STRICT,
    )
    op.create_table(
        "reel",
        _text("code"),
        _text("part"),
        _text("revision"),
        _number("in_order"),
        _number("holds"),
        _number("used"),
        _number("dropping"),
        _number("seq"),
        sa.CheckConstraint("used + dropping <= holds", name=op.f("ck_reel_gives_no_more_than_it_has")),
        sa.ForeignKeyConstraint(["part"], ["part_kind.number"], name=op.f("fk_reel_part")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_reel")),
        **_STRICT,
    )
    op.create_table(
        "reel_item",
        _text("reel"),
        _number("first"),
        _number("last"),
        _text("part_lot"),
        _text("at"),
        _number("seq"),
        sa.CheckConstraint("first >= 1 AND last >= first", name=op.f("ck_reel_item_range_in_order")),
        sa.ForeignKeyConstraint(["part_lot"], ["part_lot.code"], name=op.f("fk_reel_item_part_lot")),
        sa.ForeignKeyConstraint(["reel"], ["reel.code"], name=op.f("fk_reel_item_reel")),
        sa.PrimaryKeyConstraint("reel", "first", name=op.f("pk_reel_item")),
        **_STRICT,
    )
    op.create_table(
        "reel_count",
        _number("seq"),
        _text("reel"),
        _number("shown"),
        _number("counted"),
        _text("at"),
        sa.ForeignKeyConstraint(["reel"], ["reel.code"], name=op.f("fk_reel_count_reel")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_reel_count")),
        **_STRICT,
    )


def _create_runs() -> None:
    op.create_table(
        "build",
        _text("code"),
        _text("part"),
        _text("version"),
        _number("first_serial"),
        _number("quantity"),
        _number("panel"),
        _text("at"),
        _number("seq"),
        sa.CheckConstraint(
            "quantity >= 1 AND panel >= 1 AND first_serial >= 1", name=op.f("ck_build_counts_positive")
        ),
        sa.ForeignKeyConstraint(["part"], ["part_kind.number"], name=op.f("fk_build_part")),
        sa.ForeignKeyConstraint(
            ["part", "version"], ["bill.part", "bill.version"], name=op.f("fk_build_part_version")
        ),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_build")),
        **_STRICT,
    )
    op.create_table(
        "machine_run",
        _number("seq"),
        _text("station"),
        _text("build"),
        _number("done"),
        _number("stopped"),
        _number("ended_seq", null=True),
        sa.ForeignKeyConstraint(["build"], ["build.code"], name=op.f("fk_machine_run_build")),
        sa.ForeignKeyConstraint(["station"], ["station.code"], name=op.f("fk_machine_run_station")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_machine_run")),
        **_STRICT,
    )
    op.create_table(
        "slot_load",
        _number("seq"),
        _number("run"),
        _text("slot"),
        _text("reel"),
        _number("checked"),
        _number("out_seq", null=True),
        sa.ForeignKeyConstraint(["reel"], ["reel.code"], name=op.f("fk_slot_load_reel")),
        sa.ForeignKeyConstraint(["run"], ["machine_run.seq"], name=op.f("fk_slot_load_run")),
        sa.ForeignKeyConstraint(["slot"], ["slot.code"], name=op.f("fk_slot_load_slot")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_slot_load")),
        **_STRICT,
    )
    op.create_table(
        "wrong_reel",
        _number("seq"),
        _text("reel"),
        _text("build"),
        _number("first"),
        _number("last"),
        sa.ForeignKeyConstraint(["build"], ["build.code"], name=op.f("fk_wrong_reel_build")),
        sa.ForeignKeyConstraint(["reel"], ["reel.code"], name=op.f("fk_wrong_reel_reel")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_wrong_reel")),
        **_STRICT,
    )


def _create_pieces() -> None:
    op.create_table(
        "part_move",
        _number("seq"),
        _number("line"),
        _text("reel"),
        _number("quantity"),
        _text("source"),
        _text("target"),
        _number("first", null=True),
        _number("last", null=True),
        _text("at"),
        _text("build", null=True),
        _number("from_piece", null=True),
        _number("to_piece", null=True),
        _number("per_piece", null=True),
        _number("lead", null=True),
        sa.CheckConstraint("quantity >= 1", name=op.f("ck_part_move_quantity_positive")),
        sa.ForeignKeyConstraint(["build"], ["build.code"], name=op.f("fk_part_move_build")),
        sa.ForeignKeyConstraint(["reel"], ["reel.code"], name=op.f("fk_part_move_reel")),
        sa.PrimaryKeyConstraint("seq", "line", name=op.f("pk_part_move")),
        **_STRICT,
    )
    op.create_table(
        "piece",
        _text("code"),
        _text("build"),
        _number("number"),
        _text("status"),
        _number("seq"),
        sa.CheckConstraint("status IN ('built', 'failed', 'passed')", name=op.f("ck_piece_status_known")),
        sa.ForeignKeyConstraint(["build"], ["build.code"], name=op.f("fk_piece_build")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_piece")),
        **_STRICT,
    )
    op.create_table(
        "piece_test",
        _number("seq"),
        _text("piece"),
        _text("part"),
        _text("station", null=True),
        _text("programme"),
        _number("passed"),
        _text("symptom", null=True),
        _text("position", null=True),
        _text("at"),
        sa.ForeignKeyConstraint(["piece"], ["piece.code"], name=op.f("fk_piece_test_piece")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_piece_test")),
        **_STRICT,
    )
    op.create_table(
        "taken_out",
        _number("seq"),
        _text("unit"),
        _text("piece", null=True),
        _text("reel", null=True),
        _text("went_to"),
        _text("at"),
        sa.CheckConstraint(
            "went_to IN ('scrap', 'supplier', 'retest')", name=op.f("ck_taken_out_went_to_known")
        ),
        sa.ForeignKeyConstraint(["piece"], ["piece.code"], name=op.f("fk_taken_out_piece")),
        sa.ForeignKeyConstraint(["reel"], ["reel.code"], name=op.f("fk_taken_out_reel")),
        sa.ForeignKeyConstraint(["unit"], ["piece.code"], name=op.f("fk_taken_out_unit")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_taken_out")),
        **_STRICT,
    )


def _create_indexes() -> None:
    op.create_index("ix_reel_item_part_lot", "reel_item", ["part_lot"])
    op.create_index("ix_build_first_serial", "build", ["first_serial"])
    op.create_index(
        "uq_machine_run_open",
        "machine_run",
        ["station"],
        unique=True,
        sqlite_where=sa.text("ended_seq IS NULL"),
        postgresql_where=sa.text("ended_seq IS NULL"),
    )
    op.create_index("ix_slot_load_run", "slot_load", ["run"])
    op.create_index(
        "uq_slot_load_reel",
        "slot_load",
        ["reel"],
        unique=True,
        sqlite_where=sa.text("out_seq IS NULL"),
        postgresql_where=sa.text("out_seq IS NULL"),
    )
    op.create_index("ix_wrong_reel_reel", "wrong_reel", ["reel"])
    op.create_index("ix_part_move_build", "part_move", ["build", "to_piece"])
    op.create_index("ix_part_move_reel", "part_move", ["reel"])
    op.create_index("ix_part_move_target", "part_move", ["target"])
    op.create_index("ix_piece_build", "piece", ["build", "number"], unique=True)
    op.create_index("ix_piece_test_part", "piece_test", ["part", "seq"])
    op.create_index("ix_piece_test_piece", "piece_test", ["piece"])
    op.create_index("ix_taken_out_piece", "taken_out", ["piece"])
    op.create_index("ix_taken_out_unit", "taken_out", ["unit"])
