"""PINs of people, and what was read from documents of suppliers.

Why: a badge alone can be borrowed, so whoever has a PIN keys it; wrong ones make wait, which every station must know of.
An event of a supplier's document is booked once, however often the document is read. All tables are new and start empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """PINs, and the events of suppliers' documents."""
    op.create_table(
        "person_pin",
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("salt", sa.Text(), nullable=False),
        sa.Column("cost", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("block", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("lanes", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("key_id", sa.Text(), nullable=False),
        sa.Column("failures", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("failed_at", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("failures >= 0", name=op.f("ck_person_pin_failures_not_negative")),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_person_pin_person")),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_person_pin")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
