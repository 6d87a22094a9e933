"""How the parts of a stretch of a reel are shared out to the pieces that took them one after the other."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PartStretch:
    """Parts that pieces took one after the other."""

    quantity: int
    from_piece: int
    per_piece: int
    """Parts that each piece takes."""
    lead: int
    """Of those, what the first piece had before."""


def share_of(stretch: PartStretch, piece: int) -> tuple[int, int]:
    """Return which of the parts a piece took, counted from 0: the first, and one more than the last.

    Args:
        stretch: the parts.
        piece: number of the piece in its build order.
    """
    begins = (piece - stretch.from_piece) * stretch.per_piece - stretch.lead
    return max(0, begins), max(0, min(stretch.quantity, begins + stretch.per_piece))
