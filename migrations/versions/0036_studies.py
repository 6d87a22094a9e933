"""What several people said of the same discs, and read on them with one gauge.

Why: agreement of inspectors and studies of a gauge could only be told from files, so nothing in the ledger said who had read
what, and with which gauge. Both tables start empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0036"
down_revision = "0035"
branch_labels = None
depends_on = None

_KEPT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    """Two tables."""
    op.create_table(
        "compared_verdict",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("sample", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["sample"], ["sample.code"], name=op.f("fk_compared_verdict_sample")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_compared_verdict")),
        **_KEPT,
    )
    op.create_index("ix_compared_verdict_sample", "compared_verdict", ["sample"])
    op.create_table(
        "study_reading",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("sample", sa.Text(), nullable=False),
        sa.Column("test", sa.Text(), nullable=False),
        sa.Column("side", sa.Text(), nullable=True),
        sa.Column("gauge", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["sample"], ["sample.code"], name=op.f("fk_study_reading_sample")),
        sa.ForeignKeyConstraint(["test"], ["lab_test.name"], name=op.f("fk_study_reading_test")),
        sa.ForeignKeyConstraint(["gauge"], ["gauge.code"], name=op.f("fk_study_reading_gauge")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_study_reading")),
        **_KEPT,
    )
    op.create_index("ix_study_reading_gauge", "study_reading", ["gauge"])
