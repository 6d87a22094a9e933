"""A tally of entries by kind, and of those recorded late or out of turn; an index of what stations found.

Why: how many entries there are of each kind, and which were recorded late, was told by reading the whole journal, however
large it had become. The tables are filled from the journal when an older ledger is brought to this schema.
"""

import sqlalchemy as sa
from alembic import op

revision = "0033"
down_revision = "0032"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Two tables and an index, which may be there where somebody set the version back by hand."""
    op.create_table(
        "entry_count",
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("entries", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("kind", name=op.f("pk_entry_count")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "odd_time",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("late_s", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("step_s", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_odd_time")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_finding_finding", "finding", ["finding"], if_not_exists=True)
