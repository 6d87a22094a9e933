"""What a kept sampling plan inspects for.

Why: a product has one plan for what is heard and another for what is measured, and how severely the next lot is inspected
follows from the lots of the same kind of inspection. Plans that are there inspect for every defect, as they did.
"""

import sqlalchemy as sa
from alembic import op

revision = "0031"
down_revision = "0030"
branch_labels = None
depends_on = None

_KEPT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    """One column and one table."""
    op.add_column("sampling_plan", sa.Column("inspection", sa.Text(), nullable=True))
    op.create_table(
        "sampling_plan_defect",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("defect", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["sampling_plan.seq"], name=op.f("fk_sampling_plan_defect_seq")),
        sa.PrimaryKeyConstraint("seq", "defect", name=op.f("pk_sampling_plan_defect")),
        **_KEPT,
    )
