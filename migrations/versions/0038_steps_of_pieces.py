"""Processes that work on pieces of build orders, such as a solder bath, and tests of pieces found by their time.

Why: a bad bath is traced to boards like a bad reel, and faults are listed by day. On SQLite the table that names what a process works on is made anew for
that, with foreign keys off (see `store/database/schema.py`), and keeps its rows.
"""

from alembic import op

revision = "0038"
down_revision = "0037"
branch_labels = None
depends_on = None

_WORKS_ON = "works_on IN ('discs', 'tools', 'pieces', 'material', 'blend')"
_STRICT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    """One condition, one index."""
    name = op.f("ck_process_works_on_known")
    with op.batch_alter_table("process", table_kwargs=_STRICT) as batch:
        batch.drop_constraint(name, type_="check")
        batch.create_check_constraint(name, _WORKS_ON)
    op.create_index("ix_piece_test_at", "piece_test", ["at"])
