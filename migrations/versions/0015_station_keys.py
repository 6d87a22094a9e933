"""Keys with which stations sign their scans, and their signatures.

Why: a chain shows that scans were not changed since they were booked, and nothing shows that a station made them. What
a station signs with a key on its own machine nobody can invent who can only write here. Both tables start empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One row per key, one per signature."""
    op.create_table(
        "station_key",
        sa.Column("station", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("withdrawn_seq", sa.Integer(), autoincrement=False, nullable=True),
        sa.ForeignKeyConstraint(["station"], ["station.code"], name=op.f("fk_station_key_station")),
        sa.PrimaryKeyConstraint("station", "key", name=op.f("pk_station_key")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "scan_signature",
        sa.Column("station", sa.Text(), nullable=False),
        sa.Column("first", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("last", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("signature", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("station", "first", name=op.f("pk_scan_signature")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
