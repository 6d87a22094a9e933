"""What movements say beyond a count: a source that nobody said, a disc taken back; samples of unknown stroke.

Why: a sample may be drawn from a carton, where no stroke is recorded; bounds must tell a place that was scanned from one
that was looked up, and a disc that UNDO takes back from any other of its carton; the number of a returned sleeve
says in which carton it left, and what had left when something came back is asked by time. The tables are made anew from the journal after this.
"""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

_SAMPLE_IN_LOT = (
    "CREATE TRIGGER sample_in_lot BEFORE INSERT ON sample WHEN NEW.stroke < 1 OR NEW.stroke > "
    "(SELECT l.counter FROM lot l WHERE l.code = NEW.lot) "
    "BEGIN SELECT RAISE(ABORT, 'a sample''s stroke must be one of its lot'); END"
)


def upgrade() -> None:
    """Three columns, and a sample's stroke may be unknown."""
    op.execute(
        "ALTER TABLE movement ADD COLUMN sense TEXT "
        "CONSTRAINT ck_movement_sense_known CHECK (sense IN ('assumed', 'taken back'))"
    )
    op.add_column("number_fate", sa.Column("carton", sa.Text(), nullable=True))
    op.add_column("shipment", sa.Column("departed_seq", sa.Integer(), autoincrement=False, nullable=True))
    kept = {"sqlite_strict": True, "sqlite_with_rowid": True}
    with op.batch_alter_table("sample", table_kwargs=kept) as batch:
        batch.alter_column("stroke", existing_type=sa.Integer(), nullable=True)
    if op.get_bind().dialect.name == "sqlite":
        # The table was made anew for that, without its trigger.
        op.execute(_SAMPLE_IN_LOT)
