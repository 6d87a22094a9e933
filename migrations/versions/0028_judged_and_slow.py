"""Bad discs waived, parts of lots rejected, stacks sorted, and tests that take weeks.

Why: what follows from a judged disc was decided for whole lots alone, and a disc that went bad after weeks of playing reached
its lot only by somebody's memory. The tables start empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None

_KEPT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    """Six tables, their indexes, and the reading that a value belongs to."""
    op.add_column("lab_result", sa.Column("reading", sa.Text(), nullable=True))
    _decisions()
    _slow_tests()
    op.create_index("ix_rejected_strokes_lot", "rejected_strokes", ["lot"])
    op.create_index("ix_sorting_lot", "sorting", ["lot"])
    op.create_index("ix_slow_reading_due", "slow_reading", ["due"])


def _decisions() -> None:
    op.create_table(
        "sample_waiver",
        sa.Column("sample", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["sample"], ["sample.code"], name=op.f("fk_sample_waiver_sample")),
        sa.PrimaryKeyConstraint("sample", name=op.f("pk_sample_waiver")),
        **_KEPT,
    )
    op.create_table(
        "rejected_strokes",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("first", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("last", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_rejected_strokes_lot")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_rejected_strokes")),
        **_KEPT,
    )
    op.create_table(
        "sorting",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("spindle", sa.Text(), nullable=False),
        sa.Column("looked_at", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("bad", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("defect", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_sorting_lot")),
        sa.ForeignKeyConstraint(["spindle"], ["spindle.code"], name=op.f("fk_sorting_spindle")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_sorting")),
        **_KEPT,
    )


def _slow_tests() -> None:
    op.create_table(
        "slow_test",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_slow_test")),
        **_KEPT,
    )
    op.create_table(
        "slow_test_reading",
        sa.Column("slow_test", sa.Text(), nullable=False),
        sa.Column("line", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("days", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["slow_test"], ["slow_test.name"], name=op.f("fk_slow_test_reading_slow_test")),
        sa.PrimaryKeyConstraint("slow_test", "line", name=op.f("pk_slow_test_reading")),
        **_KEPT,
    )
    op.create_table(
        "slow_reading",
        sa.Column("sample", sa.Text(), nullable=False),
        sa.Column("line", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("slow_test", sa.Text(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("due", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("taken_seq", sa.Integer(), autoincrement=False, nullable=True),
        sa.ForeignKeyConstraint(["sample"], ["sample.code"], name=op.f("fk_slow_reading_sample")),
        sa.ForeignKeyConstraint(["slow_test"], ["slow_test.name"], name=op.f("fk_slow_reading_slow_test")),
        sa.PrimaryKeyConstraint("sample", "line", name=op.f("pk_slow_reading")),
        **_KEPT,
    )
