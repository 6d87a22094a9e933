"""Process steps: what is done to tools, discs and material beside pressing them.

Why: a bad bath or blend is traced to discs and customers like a bad stamper, so what went through which equipment is
recorded, with what was read there. Stations of a new area record it; on SQLite the tables that name the areas are made
anew for that, with foreign keys off (see `store/database/schema.py`), and keep their rows. The new tables start empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None

_AREAS = "area IN ('tool', 'press', 'lab', 'line', 'dock', 'process')"
_STRICT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    for table in ("station", "reason"):
        name = op.f(f"ck_{table}_area_known")
        with op.batch_alter_table(table, table_kwargs=_STRICT) as batch:
            batch.drop_constraint(name, type_="check")
            batch.create_check_constraint(name, _AREAS)
    _create_processes()
    _create_steps()
    for name, (table, column) in {
        "ix_step_equipment": ("step", "equipment"),
        "ix_step_item_step": ("step_item", "step"),
        "ix_step_item_thing": ("step_item", "thing"),
        "ix_step_item_lot": ("step_item", "lot"),
        "ix_step_output_step": ("step_output", "step"),
        "ix_step_reading_step": ("step_reading", "step"),
    }.items():
        op.create_index(name, table, [column])
    op.create_index("uq_step_output_material", "step_output", ["material"], unique=True)
    op.create_index(
        "uq_step_open",
        "step",
        ["equipment"],
        unique=True,
        sqlite_where=sa.text("status = 'open'"),
        postgresql_where=sa.text("status = 'open'"),
    )


def _text(name: str, *, null: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=null)


def _number(name: str, *, null: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), autoincrement=False, nullable=null)


def _create_processes() -> None:
    op.create_table(
        "process",
        _text("name"),
        _text("works_on"),
        _text("unit", null=True),
        _number("seq"),
        sa.CheckConstraint(
            "works_on IN ('discs', 'tools', 'material', 'blend')", name=op.f("ck_process_works_on_known")
        ),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_process")),
        **_STRICT,
    )
    op.create_table(
        "process_parameter",
        _text("process"),
        _text("name"),
        _number("line"),
        _text("unit"),
        _text("least", null=True),
        _text("most", null=True),
        sa.ForeignKeyConstraint(["process"], ["process.name"], name=op.f("fk_process_parameter_process")),
        sa.PrimaryKeyConstraint("process", "name", name=op.f("pk_process_parameter")),
        **_STRICT,
    )
    op.create_table(
        "equipment",
        _text("code"),
        _text("process"),
        _text("name"),
        _number("seq"),
        sa.ForeignKeyConstraint(["process"], ["process.name"], name=op.f("fk_equipment_process")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_equipment")),
        **_STRICT,
    )


def _create_steps() -> None:
    op.create_table(
        "step",
        _text("code"),
        _text("equipment"),
        _text("process"),
        _text("status"),
        _text("began_at"),
        _text("ended_at", null=True),
        _number("taken"),
        _number("made"),
        _number("outside"),
        _number("seq"),
        _number("ended_seq", null=True),
        sa.CheckConstraint("status IN ('open', 'ended')", name=op.f("ck_step_status_known")),
        sa.CheckConstraint(
            "made >= 0 AND made <= taken", name=op.f("ck_step_makes_no_more_than_it_took")
        ),
        sa.ForeignKeyConstraint(["equipment"], ["equipment.code"], name=op.f("fk_step_equipment")),
        sa.ForeignKeyConstraint(["process"], ["process.name"], name=op.f("fk_step_process")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_step")),
        **_STRICT,
    )
    op.create_table(
        "step_item",
        _number("seq"),
        _text("step"),
        _text("what"),
        _text("thing"),
        _text("lot", null=True),
        _number("first", null=True),
        _number("last", null=True),
        _number("amount", null=True),
        _text("at"),
        sa.CheckConstraint(
            "what IN ('tool', 'spindle', 'strokes', 'material', 'ground')",
            name=op.f("ck_step_item_what_known"),
        ),
        sa.CheckConstraint(
            "(first IS NULL) = (last IS NULL) AND (first IS NULL OR (first >= 1 AND last >= first))",
            name=op.f("ck_step_item_range_in_order"),
        ),
        sa.ForeignKeyConstraint(["step"], ["step.code"], name=op.f("fk_step_item_step")),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_step_item_lot")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_step_item")),
        **_STRICT,
    )
    op.create_table(
        "step_output",
        _number("seq"),
        _text("step"),
        _text("material"),
        _number("amount"),
        sa.CheckConstraint("amount >= 1", name=op.f("ck_step_output_amount_positive")),
        sa.ForeignKeyConstraint(["step"], ["step.code"], name=op.f("fk_step_output_step")),
        sa.ForeignKeyConstraint(["material"], ["material.code"], name=op.f("fk_step_output_material")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_step_output")),
        **_STRICT,
    )
    op.create_table(
        "step_reading",
        _number("seq"),
        _text("step"),
        _text("parameter"),
        _text("value"),
        _text("unit"),
        _number("outside"),
        _text("at"),
        _text("person", null=True),
        sa.ForeignKeyConstraint(["step"], ["step.code"], name=op.f("fk_step_reading_step")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_step_reading")),
        **_STRICT,
    )
