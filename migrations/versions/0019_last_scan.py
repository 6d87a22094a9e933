"""What each station read last: a code read twice in a moment is one scan and a slip of the reader, not two.

Why: a label that stays before a reader comes twice, and the second line was stopped as a wrong piece. Which line came
last, and when, must be known to whatever program opens the ledger next. The table starts empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One row per station that scanned since."""
    op.create_table(
        "last_scan",
        sa.Column("station", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("raw", sa.Text(), nullable=False),
        sa.Column("refused", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("station", name=op.f("pk_last_scan")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
