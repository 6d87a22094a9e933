"""Which cartons were drawn for a check, and in which order they are opened.

Why: a draw that is made anew whenever the journal grows can be waited out until it is one that somebody likes.
"""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One row per carton drawn."""
    op.create_table(
        "carton_draw",
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("carton", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("rank", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["carton"], ["carton.sscc"], name=op.f("fk_carton_draw_carton")),
        sa.PrimaryKeyConstraint("subject", "carton", name=op.f("pk_carton_draw")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
