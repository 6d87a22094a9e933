"""How large the demo plant is: everything in it shrinks together, and its days stay as long."""

from dataclasses import dataclass
from math import sqrt


@dataclass(frozen=True, slots=True)
class Scale:
    """A share of the full plant, 0.02 to 1.

    Lots have fewer strokes and each takes longer, so that every lot still begins and ends on its day. Stacks,
    cartons and pallets shrink with the square root, so that a lot still fills several of each.
    """

    factor: float

    def strokes(self, full: int) -> int:
        """Return a number of strokes or discs of a lot."""
        return max(1, round(full * self.factor))

    def pack(self, full: int) -> int:
        """Return how many go into one stack, carton or pallet; at least 3."""
        return max(3, round(full * sqrt(self.factor)))

    def seconds(self, full: int) -> int:
        """Return how long one piece takes."""
        return round(full / self.factor)
