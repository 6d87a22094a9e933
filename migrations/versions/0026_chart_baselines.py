"""Frozen baselines of control charts.

Why: limits that follow a process follow its drift as well; the table holds the centre and spread that were frozen while it
ran as it should. It starts empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One table."""
    op.create_table(
        "chart_baseline",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("test", sa.Text(), nullable=False),
        sa.Column("chart", sa.Text(), nullable=False),
        sa.Column("centre", sa.Text(), nullable=False),
        sa.Column("sigma", sa.Text(), nullable=False),
        sa.Column("group_size", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("points", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_chart_baseline")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_chart_baseline_subject", "chart_baseline", ["subject"])
