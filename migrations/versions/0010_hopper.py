"""When the hopper of a press was emptied, so that a compound lot can be followed through it.

Why: discs pressed after a change of compound still hold some of the old lot, and only an emptying that somebody
recorded says where that ends.
"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One row per emptying."""
    op.create_table(
        "hopper_emptied",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("press", sa.Text(), nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("after", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint('"after" >= 0', name=op.f("ck_hopper_emptied_after_not_negative")),
        sa.ForeignKeyConstraint(["press"], ["station.code"], name=op.f("fk_hopper_emptied_press")),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_hopper_emptied_lot")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_hopper_emptied")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_hopper_emptied_press", "hopper_emptied", ["press"], unique=False)
