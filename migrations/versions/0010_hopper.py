"""What the hopper of a press held, so that a compound lot can be followed through it."""

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nothing yet."""
