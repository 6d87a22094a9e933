"""Things in the plant that can hold an affected disc, and what stops each of them."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class InPlant:
    """One thing in the plant that can hold an affected disc, and what stops it."""

    code: str
    """The container; `counter` for discs that the press counted and nobody has booked on."""
    kind: str
    """spindle, carton, sample, counter, or a place."""
    status: str
    """Its status in the records."""
    lot: str
    """The lot of the discs."""
    pieces: int
    """Discs of the lot in it."""
    least: int
    """Fewest affected discs that fit the records."""
    most: int
    """Most affected discs that fit the records."""
    stands_in: tuple[str, ...]
    """Pallet and shipment, from the inside out."""
    hold: str | None
    """The open hold that stops it; None if there is none."""
    bar: str
    """Which rule of the floor stops it apart from holds; empty if none does."""

    @property
    def is_free(self) -> bool:
        """Whether nothing recorded stops it from being packed or shipped."""
        return self.hold is None and not self.bar


def free_to_ship(rows: Iterable[InPlant]) -> list[InPlant]:
    """Return the rows that nothing stops."""
    return [row for row in rows if row.is_free]
