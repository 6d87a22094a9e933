"""Whom to write to at a consignee, and who the sender is, from which day on.

Why: a notice goes to a person at an address, and an order names only the consignee.
"""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One row per contact."""
    op.create_table(
        "contact",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("email", sa.Text(), nullable=False),
        sa.Column("telephone", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("since", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_contact")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_contact_name", "contact", ["name"], unique=False)
