"""The reasons of a plant that are scanned where an act asks why.

Why: a reason that is typed is typed differently each time, and few people type with gloves on. Both tables start empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One row per reason, one per act that it is a reason for."""
    op.create_table(
        "reason",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("area", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint(
            "area IN ('tool', 'press', 'lab', 'line', 'dock')", name=op.f("ck_reason_area_known")
        ),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_reason")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "reason_act",
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["reason"], ["reason.code"], name=op.f("fk_reason_act_reason")),
        sa.PrimaryKeyConstraint("reason", "act", name=op.f("pk_reason_act")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
