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
    op.create_table(
        "partner_document",
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        sa.Column("size", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("events", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_partner_document")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "partner_event",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("event_id", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("sentence", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "verdict IN ('booked', 'noted', 'refused', 'changed', 'withdrawn')",
            name=op.f("ck_partner_event_verdict_known"),
        ),
        sa.ForeignKeyConstraint(
            ["document"], ["partner_document.sha256"], name=op.f("fk_partner_event_document")
        ),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_partner_event")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_partner_event_event_id", "partner_event", ["event_id"], unique=False)
    op.create_index("ix_partner_event_document_place", "partner_event", ["document", "place"], unique=False)
    op.create_table(
        "partner_thing",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("line", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("uri", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=True),
        sa.Column("quantity", sa.Text(), nullable=True),
        sa.Column("uom", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["seq"], ["partner_event.seq"], name=op.f("fk_partner_thing_seq")),
        sa.PrimaryKeyConstraint("seq", "line", name=op.f("pk_partner_thing")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_partner_thing_code", "partner_thing", ["code"], unique=False)
