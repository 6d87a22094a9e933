"""Which discs of a lot a plan looks at: one out of each of equal parts of the lot, so that they are spread over its time.

The draw follows from its seed alone: whoever has the seed can draw again and gets the same discs, and asking again draws no
others. Within its part each disc has the same chance.
"""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256


def drawn_strokes(seed: str, lot_size: int, size: int, pressed: int, *, ended: bool) -> Iterator[int]:
    """Yield the strokes that are drawn, in their order.

    Args:
        seed: what the draw follows from.
        lot_size: discs that the plan was made for, 1 or more.
        size: discs to draw from so many, 1 to `lot_size`.
        pressed: discs pressed so far. A lot that grows beyond `lot_size` is drawn from as densely.
        ended: True if no more will be pressed: no disc is drawn beyond the last one.
    """
    expected = pressed if ended else max(pressed, lot_size)
    part = 0
    while (first := part * lot_size // size + 1) <= expected:
        last = (part + 1) * lot_size // size
        if ended:
            last = min(last, pressed)
        number = int.from_bytes(sha256(f"{seed} {part + 1}".encode()).digest())
        yield first + number % (last - first + 1)
        part += 1
