"""Sampling plans that are kept for products, and discs that the lab wanted and could not have.

Why: a plan that is only asked for at a command is not known at the press, which therefore asked for no disc; and a drawn disc
that was scrapped stood open for good. Both tables start empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0029"
down_revision = "0028"
branch_labels = None
depends_on = None

_KEPT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    """Two tables."""
    op.create_table(
        "sampling_plan",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("aql", sa.Text(), nullable=True),
        sa.Column("level", sa.Text(), nullable=False),
        sa.Column("severity", sa.Text(), nullable=False),
        sa.Column("detect", sa.Text(), nullable=True),
        sa.Column("confidence", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("one_in", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("since", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_sampling_plan_gtin")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_sampling_plan")),
        **_KEPT,
    )
    op.create_index("ix_sampling_plan_gtin", "sampling_plan", ["gtin"])
    op.create_table(
        "missed_disc",
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("stroke", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_missed_disc_lot")),
        sa.PrimaryKeyConstraint("lot", "stroke", name=op.f("pk_missed_disc")),
        **_KEPT,
    )
