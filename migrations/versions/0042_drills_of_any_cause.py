"""Drills that begin at a reel, a part lot, a step or a blend, and drills found by what was drawn.

Why: an exercise must be possible from everything that can be bad. On SQLite the table is made anew for that, with foreign keys off
(see `store/database/schema.py`), and keeps its rows.
"""

from alembic import op

revision = "0042"
down_revision = "0041"
branch_labels = None
depends_on = None

_DRAWN_FROM = "what IN ('carton', 'stamper', 'reel', 'part-lot', 'bath', 'blend')"
_STRICT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    """One condition, one index."""
    name = op.f("ck_drill_what_known")
    with op.batch_alter_table("drill", table_kwargs=_STRICT) as batch:
        batch.drop_constraint(name, type_="check")
        batch.create_check_constraint(name, _DRAWN_FROM)
    op.create_index("ix_drill_subject", "drill", ["subject"])
