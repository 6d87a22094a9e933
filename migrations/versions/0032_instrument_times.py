"""Where the files of an instrument say when each row was measured.

Why: all rows of a file had one time, so a value measured on the last day of a calibration or a limit could be judged by the
next one. The files of instruments that are there have no such column, as they were described.
"""

import sqlalchemy as sa
from alembic import op

revision = "0032"
down_revision = "0031"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Two columns."""
    op.add_column("instrument", sa.Column("time_heading", sa.Text(), nullable=True))
    op.add_column("instrument", sa.Column("time_form", sa.Text(), nullable=True))
