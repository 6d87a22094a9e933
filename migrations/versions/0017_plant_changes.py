"""Changes of what was set up, each with the time from which it holds.

Why: people leave, badges are lost, sleeves are printed anew, and what was true before stays true for what was made under
it. So the first form of a thing keeps its row, and what changed of it since stands here. The table starts empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

_FIELDS = "'roles', 'badge', 'title', 'catalogue number', 'carton size', 'print', 'station', 'setting'"


def upgrade() -> None:
    """One row per field that an entry changes."""
    op.create_table(
        "plant_change",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("field", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("since", sa.Text(), nullable=False),
        sa.CheckConstraint(f"field IN ({_FIELDS})", name=op.f("ck_plant_change_field_known")),
        sa.PrimaryKeyConstraint("seq", "field", name=op.f("pk_plant_change")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_plant_change_subject", "plant_change", ["subject"])
