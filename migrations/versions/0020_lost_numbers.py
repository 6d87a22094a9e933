"""Numbers of sleeves that were missing when those in their carton were scanned, one by one.

Why: a carton of numbered sleeves that was counted short could go nowhere, because nobody could say which numbers it
holds. A lost number is in no carton, and a sleeve that turns up with it is told. The table starts empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One row per lost number."""
    op.create_table(
        "lost_number",
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("carton", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_lost_number_gtin")),
        sa.ForeignKeyConstraint(["carton"], ["carton.sscc"], name=op.f("fk_lost_number_carton")),
        sa.PrimaryKeyConstraint("gtin", "number", name=op.f("pk_lost_number")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
