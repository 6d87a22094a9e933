"""PINs of people, failed badge attempts, and documents of suppliers read in."""

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nothing yet."""
