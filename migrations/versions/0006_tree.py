"""Merkle tree over the journal, and the checkpoints made of it."""

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nothing yet."""
