"""Browsers that may open stations.

Why: a page of a station books scans, so it must open only where somebody authorised said that it may. The table starts
empty; it is the shadow of the entries by which browsers are enrolled and withdrawn.
"""

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One row per browser."""
    op.create_table(
        "browser",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("station", sa.Text(), nullable=True),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("withdrawn_seq", sa.Integer(), autoincrement=False, nullable=True),
        sa.ForeignKeyConstraint(["station"], ["station.code"], name=op.f("fk_browser_station")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_browser")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_browser_digest", "browser", ["digest"], unique=True)
