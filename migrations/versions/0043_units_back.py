"""Units that come back from a customer, each by its own serial label.

Why: whoever has sent units out must be able to book one back in, test it and send it again, and a case must know that it is
back. On SQLite the table of pieces is made anew for a further status, with foreign keys off (see `store/database/schema.py`), and
keeps its rows.
"""

import sqlalchemy as sa
from alembic import op

revision = "0043"
down_revision = "0042"
branch_labels = None
depends_on = None

_STATUS = "status IN ('built', 'failed', 'passed', 'returned')"
_STRICT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    """One table, one condition."""
    name = op.f("ck_piece_status_known")
    with op.batch_alter_table("piece", table_kwargs=_STRICT) as batch:
        batch.drop_constraint(name, type_="check")
        batch.create_check_constraint(name, _STATUS)
    op.create_table(
        "unit_return",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("piece", sa.Text(), nullable=False),
        sa.Column("carton", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_unit_return")),
        sa.ForeignKeyConstraint(["piece"], ["piece.code"], name=op.f("fk_unit_return_piece")),
        sa.ForeignKeyConstraint(["carton"], ["carton.sscc"], name=op.f("fk_unit_return_carton")),
        sqlite_strict=True,
    )
    op.create_index("ix_unit_return_piece", "unit_return", ["piece"])
