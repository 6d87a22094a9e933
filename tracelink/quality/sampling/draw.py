"""Which discs of a lot a plan looks at: one out of each of equal parts of the lot, so that they are spread over its time.

The draw follows from its seed alone: whoever has the seed can draw again and gets the same discs, and asking again draws no
others. Within its part each disc has the same chance.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from hashlib import sha256


def drawn_strokes(  # noqa: PLR0913  a draw is these six things
    seed: str, lot_size: int, size: int, pressed: int, *, ended: bool, missing: Collection[int] = ()
) -> Iterator[int]:
    """Yield the strokes that are drawn, in their order.

    Args:
        seed: what the draw follows from.
        lot_size: discs that the plan was made for, 1 or more.
        size: discs to draw from so many, 1 to `lot_size`.
        pressed: discs pressed so far. A lot that grows beyond `lot_size` is drawn from as densely.
        ended: True if no more will be pressed: no disc is drawn beyond the last one.
        missing: strokes whose discs are not to be had. The next disc of the same part stands in for one, after its last the
            first; where none of a part is to be had, the one that was drawn is named all the same.
    """
    expected = pressed if ended else max(pressed, lot_size)
    part = 0
    while (first := part * lot_size // size + 1) <= expected:
        last = (part + 1) * lot_size // size
        if ended:
            last = min(last, pressed)
        number = int.from_bytes(sha256(f"{seed} {part + 1}".encode()).digest())
        many = last - first + 1
        turns = (first + (number + turn) % many for turn in range(many))
        yield next((stroke for stroke in turns if stroke not in missing), first + number % many)
        part += 1
