"""Indexes for what is asked of one lot, one order or one day.

Why: where the discs of a lot are, which stacks it has, what was sent for an order and what happened on a day were found
by reading every place, stack, shipment or movement there ever was; they cost what the lot, the order or the day has now.
"""

from alembic import op

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

INDEXES = {
    "ix_stock_lot": ("stock", ["lot"]),
    "ix_spindle_lot": ("spindle", ["lot", "seq"]),
    "ix_movement_at": ("movement", ["at"]),
    "ix_finding_at": ("finding", ["at"]),
    "ix_shipment_order_code": ("shipment", ["order_code"]),
}


def upgrade() -> None:
    """Five indexes; made only where they are not there yet, so that a version set back by hand does not stop it."""
    for name, (table, columns) in INDEXES.items():
        op.create_index(name, table, columns, if_not_exists=True)
