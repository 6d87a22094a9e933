"""What the lab measures, with which gauges, under which limits, and what it found.

Why: a value that was typed said neither its side nor its gauge nor which limit held, so that nothing could be judged by it
or be followed along the life of a tool. All tables start empty; values of older ledgers stay where they are.
"""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None

_KEPT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    """Six tables."""
    _tests()
    _gauges()
    op.create_table(
        "lab_result",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("sample", sa.Text(), nullable=False),
        sa.Column("test", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("side", sa.Text(), nullable=True),
        sa.Column("gauge", sa.Text(), nullable=False),
        sa.Column("overdue", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("limit_seq", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("standing", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("replaced_by", sa.Integer(), autoincrement=False, nullable=True),
        sa.CheckConstraint(
            "standing IN ('within', 'outside', 'no limit')", name=op.f("ck_lab_result_standing_known")
        ),
        sa.CheckConstraint("side IN ('A', 'B')", name=op.f("ck_lab_result_side_known")),
        sa.ForeignKeyConstraint(["sample"], ["sample.code"], name=op.f("fk_lab_result_sample")),
        sa.ForeignKeyConstraint(["test"], ["lab_test.name"], name=op.f("fk_lab_result_test")),
        sa.ForeignKeyConstraint(["gauge"], ["gauge.code"], name=op.f("fk_lab_result_gauge")),
        sa.ForeignKeyConstraint(["limit_seq"], ["lab_limit.seq"], name=op.f("fk_lab_result_limit_seq")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_lab_result")),
        **_KEPT,
    )
    op.create_index("ix_lab_result_sample", "lab_result", ["sample"])


def _tests() -> None:
    op.create_table(
        "lab_test",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("measured_on", sa.Text(), nullable=False),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("defect", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("measured_on IN ('side', 'disc')", name=op.f("ck_lab_test_measured_on_known")),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_lab_test")),
        **_KEPT,
    )
    op.create_table(
        "lab_limit",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("test", sa.Text(), nullable=False),
        sa.Column("gtin", sa.Text(), nullable=True),
        sa.Column("lower", sa.Text(), nullable=True),
        sa.Column("upper", sa.Text(), nullable=True),
        sa.Column("since", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["test"], ["lab_test.name"], name=op.f("fk_lab_limit_test")),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_lab_limit_gtin")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_lab_limit")),
        **_KEPT,
    )
    op.create_index("ix_lab_limit_test", "lab_limit", ["test"])


def _gauges() -> None:
    op.create_table(
        "gauge",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("resolution", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_gauge")),
        **_KEPT,
    )
    op.create_table(
        "gauge_test",
        sa.Column("gauge", sa.Text(), nullable=False),
        sa.Column("test", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["gauge"], ["gauge.code"], name=op.f("fk_gauge_test_gauge")),
        sa.ForeignKeyConstraint(["test"], ["lab_test.name"], name=op.f("fk_gauge_test_test")),
        sa.PrimaryKeyConstraint("gauge", "test", name=op.f("pk_gauge_test")),
        **_KEPT,
    )
    op.create_table(
        "gauge_calibration",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("gauge", sa.Text(), nullable=False),
        sa.Column("calibrated", sa.Text(), nullable=False),
        sa.Column("due", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["gauge"], ["gauge.code"], name=op.f("fk_gauge_calibration_gauge")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_gauge_calibration")),
        **_KEPT,
    )
    op.create_index("ix_gauge_calibration_gauge", "gauge_calibration", ["gauge"])
