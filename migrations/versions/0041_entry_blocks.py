"""Which stations, badges and kinds of entries are in each 256 entries of the journal.

Why: what a station or a person did, and the entries of a kind, were looked for in the whole journal, however large it had
become. The table is filled from the journal when an older ledger is brought to this schema.
"""

import sqlalchemy as sa
from alembic import op

revision = "0041"
down_revision = "0040"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One table, which is part of the shadow of the journal."""
    op.create_table(
        "entry_block",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("block", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("name", "block", name=op.f("pk_entry_block")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
