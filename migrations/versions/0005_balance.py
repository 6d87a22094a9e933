"""Balances: physical counts, and investigations of what does not add up.

Why: a kept count that nobody compares with a count by hand proves nothing, and a difference outside its limit
must bar the release of a lot until an authorised person has closed it.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Counts by hand, and what is looked into."""
    op.create_table(
        "stock_count",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("expected", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("quantity >= 0", name=op.f("ck_stock_count_quantity_not_negative")),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_stock_count_lot")),
        sa.PrimaryKeyConstraint("seq", "lot", name=op.f("pk_stock_count")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_stock_count_lot", "stock_count", ["lot"], unique=False)
    op.create_table(
        "investigation",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("difference", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), autoincrement=False, nullable=True),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_investigation_person")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_investigation")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_investigation_subject", "investigation", ["subject"], unique=False)
