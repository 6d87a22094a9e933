"""Blanks of masters: inspected and tied to a product before anything is cut.

Why: which side of which disc a master is was first said when it was cut. A wrong cut is found at once where that was said
before, by the barcode of the product. The table starts empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One row per blank."""
    op.create_table(
        "blank",
        sa.Column("tool", sa.Text(), nullable=False),
        sa.Column("blank", sa.Text(), nullable=False),
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("piece", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("side", sa.Text(), nullable=False),
        sa.Column("matrix", sa.Text(), nullable=False),
        sa.Column("fault", sa.Text(), nullable=True),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(
            ["gtin", "piece"], ["product_part.gtin", "product_part.piece"], name=op.f("fk_blank_gtin_piece")
        ),
        sa.PrimaryKeyConstraint("tool", name=op.f("pk_blank")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
