"""What did not go into a process step after all.

Why: a spindle or tool that was scanned into the wrong step stayed in it for good. The row stays and names the entry that
took it back.
"""

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One column."""
    op.add_column("step_item", sa.Column("taken_back", sa.Integer(), autoincrement=False, nullable=True))
