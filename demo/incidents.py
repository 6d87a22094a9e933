"""What goes wrong in the demo plant, where and when. Everything else in it goes as it should."""

from dataclasses import dataclass
from enum import Enum

from plantdata import BLUE, BRASS, COMET, GRAVEL, HERON, LEDGER, Product


class Mishap(Enum):
    """What happens to one unit at a packing line."""

    NO_READ = "a sleeve does not read; turned, it does"
    NO_READ_REJECT = "a sleeve does not read at all; the disc is rejected with it"
    MISREAD = "a scratched barcode is read with one wrong digit"
    SECOND_COPY = "a second copy of disc 1 is taken for disc 2 of the set"
    WRONG_SLEEVE = "a sleeve of the edition packed before is left at the line"


MISHAPS: dict[tuple[Product, int], Mishap] = {
    (HERON, 4): Mishap.NO_READ,
    (HERON, 9): Mishap.NO_READ_REJECT,
    (LEDGER, 7): Mishap.MISREAD,
    (BRASS, 6): Mishap.SECOND_COPY,
    (BLUE, 1): Mishap.WRONG_SLEEVE,
}
"""By product and how many units of it were packed, this one included."""

LEFT_BEHIND = {BLUE: COMET}
"""Whose sleeve is left at the line when this product's job begins: their artwork is nearly the same."""

SUPERSEDED = GRAVEL
"""Product whose old sleeves are fetched first."""

SWAPPED_LOT = 2
"""Lot at whose set-up the two stampers are swapped."""

LOST_STACK = (6, 4)
"""Lot and stack whose card gets lost on the way."""

DUPLICATE_AT, DUPLICATE_OF = 0.6, 0.4
"""Shares of the numbered edition: after which number the printer repeats which."""

UNRELATED = (12, 3000, "non-fill")
"""Lot, stroke and defect of a sample that has nothing to do with the stamper."""

NO_READ_SHARE = 0.0004
REJECT_SHARE = 0.0025
"""Of all discs at a line; a choice of this plant."""


@dataclass(frozen=True, slots=True)
class Scratch:
    """The stamper that is scratched part-way through its life; strokes of its life as in the full plant."""

    last_good: int = 500
    """A sample there is good."""
    onset: int = 540
    """From here on every disc has the scratch."""


SCRATCH = Scratch()
SCRATCH_DEFECT = "repeating scratch"

STAMPER_LIMITS = {
    # The second side A stamper gets scratched; it is fresh in one lot and goes on in another.
    COMET.matrix(1, "A"): (1500, 2400),
    # On side B no stamper is fresh while the scratched one is on the other side, so that no first-off finds it.
    COMET.matrix(1, "B"): (1450, 2500),
}
"""Strokes after which the first stampers of a matrix are worn; others get their limit by lot."""

STAMPER_LIFE = (1100, 1900)
"""Strokes that a stamper lasts: sources say 500 to 2,500 by the quality wanted (see the guide, sources)."""

LISTENER_AWAY = ((3, 6.0), (8, 20.25))
"""From when to when nobody listens; first-offs of fresh stampers are judged all the same."""

PACKING_PLAN = {
    COMET: (((0, 0.0), 2900), ((8, 11.0), 3400)),
    BLUE: (((8, 0.0), 350),),
}
"""From when how many units in all may be packed; products not named as they come."""
