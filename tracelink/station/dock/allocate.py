"""What is kept for an order: whole pallets first, then loose cartons, the oldest lot before the newer.

No pallet is opened for an order and no carton is divided: what does not fit as a whole is left, and the order stays
short by the rest, which is told.
"""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class InStock:
    """A pallet or a loose carton that may be sent."""

    code: str
    what: str
    """pallet or carton."""
    units: int
    age: int
    """Entry at which its oldest lot left the press; smaller is older."""


def choose(wanted: int, stock: Iterable[InStock], *, oldest_first: bool) -> tuple[tuple[InStock, ...], int]:
    """Return what to keep for an order and how many units it stays short of.

    Args:
        wanted: finished units still to be found for the order, 0 or more.
        stock: pallets and loose cartons of the ordered product that may be sent.
        oldest_first: whether age comes before the number on the label.
    """
    pieces = sorted(stock, key=lambda one: (one.what != "pallet", one.age if oldest_first else 0, one.code))
    chosen: list[InStock] = []
    for piece in pieces:
        if 0 < piece.units <= wanted:
            chosen.append(piece)
            wanted -= piece.units
    return tuple(chosen), wanted
