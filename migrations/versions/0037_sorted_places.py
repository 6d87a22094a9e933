"""What was sorted in cartons and loose returns.

Why: only stacks could be sorted with their counts; cartons and what came back were sorted off the record. The table starts empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0037"
down_revision = "0036"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One table."""
    op.create_table(
        "place_sorting",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("looked_at", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("bad", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("defect", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_place_sorting_lot")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_place_sorting")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_place_sorting_lot", "place_sorting", ["lot"])
