"""Which entry corrected last how much a process step made.

Why: an amount that was typed wrong could not be corrected. Each correction names what was believed until then, so the row
says which entry that is.
"""

import sqlalchemy as sa
from alembic import op

revision = "0035"
down_revision = "0034"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One column."""
    op.add_column("step_output", sa.Column("corrected_by", sa.Integer(), autoincrement=False, nullable=True))
