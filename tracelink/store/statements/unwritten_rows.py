"""What the rows that are kept must know of scans whose rows are not written yet."""

from typing import Protocol


class UnwrittenRows(Protocol):
    """Rows of the spool that its transaction has not written yet."""

    def write(self) -> None:
        """Write them."""

    def on_spindle(self, code: str) -> int:
        """Count discs of a spindle."""
