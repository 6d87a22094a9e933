"""The turn of every scan among all scans of the ledger, and after which entry it came.

Why: with both, every entry of a station can be judged again from raw scans in the order in which they came. Scans that
wait in the spool keep them there, until they are packed beside their entry; scans of older programs have none.
"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Two columns, empty for the scans that wait now."""
    op.add_column("spool", sa.Column("turn", sa.Integer(), autoincrement=False, nullable=True))
    op.add_column("spool", sa.Column("after", sa.Integer(), autoincrement=False, nullable=True))
