"""A symbol of a picture turned upright, with what is round it, and scan lines through it."""

import itertools
import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image

_ROUND = 0.6
"""How much of the symbol's width is kept on either side of it: more than the quiet zones of the shortest symbol."""

_SAME_ROW = 0.12
"""Share of pixels in which a row through the bars may differ from the one before: dirt, leaning bars."""

_LEAN = 0.03
"""Share of the width by which a bar may stand off from where the reader places it."""

_SCRATCH = 6
"""Rows that may lack the bars between rows that have them; fewer than the white above a caption."""


def linear_light(pixel: int) -> float:
    """Return the reflectance of a grey, in percent. Source: IEC 61966-2-1, transfer function of sRGB."""
    value = pixel / 255
    return 100 * (value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4)


_LIGHT = tuple(linear_light(pixel) for pixel in range(256))


@dataclass(frozen=True, slots=True)
class Straight:
    """A symbol upright, one pixel of the result for each of the picture."""

    image: Image.Image
    """The symbol and its surroundings, 256 greys."""
    seen: Image.Image
    """255 where `image` shows the picture, 0 where it lies outside of it."""
    left: int
    """Column of the symbol's first bar or module, as the reader places it."""
    top: int
    """Row of its upper edge, as the reader places it."""
    wide: int
    """Columns of the symbol."""
    high: int
    """Rows of the symbol, as the reader places it; bars may go on above and below."""
    threshold: float
    """Half way between the darkest and the lightest pixel of the symbol, in percent of reflectance."""

    def profile(self, row: int, before: float, behind: float | None = None) -> list[float]:
        """Return the reflectances along a row of the symbol, in percent.

        Args:
            row: below the symbol's upper edge; above it if negative.
            before: columns in front of the symbol that belong to it.
            behind: columns behind it; as many as before if None.
        """
        start, _ = self._span(row, -math.floor(before) - 2, 0)
        _, end = self._span(row, 0, math.floor(before if behind is None else behind) + 2)
        return [_LIGHT[pixel] for pixel in self._row(row)[start:end]]

    def white_beside(self, row: int, furthest: int, slack: int) -> tuple[int, int]:
        """Return how many columns before and behind the bars are white in a row.

        Args:
            row: see `profile`.
            furthest: how many columns are looked at.
            slack: columns by which the outermost bars may stand outside of where the reader places them.
        """
        values, threshold = self._row(row), self.threshold
        start, end = self._span(row, -furthest - slack, furthest + slack)
        first, beyond = max(0, self.left - slack), min(len(values), self.left + self.wide + slack)
        dark = [at for at in range(first, beyond) if _LIGHT[values[at]] < threshold]
        if not dark:
            return 0, 0
        return (
            _run(values[start : dark[0]][::-1][:furthest], threshold, gap=2),
            _run(values[dark[-1] + 1 : end][:furthest], threshold, gap=2),
        )

    def white_round(self, furthest: int, inset: int) -> tuple[int, int, int, int]:
        """Return how many rows or columns are white before, behind, above and below a matrix.

        Args:
            furthest: how far to look.
            inset: pixels by which the reader's corners may be too far out.
        """
        box = (
            self.left + inset,
            self.top + inset,
            self.left + self.wide - inset,
            self.top + self.high - inset,
        )
        return (
            self._white(box, (-1, 0), furthest + inset) - inset,
            self._white(box, (1, 0), furthest + inset) - inset,
            self._white(box, (0, -1), furthest + inset) - inset,
            self._white(box, (0, 1), furthest + inset) - inset,
        )

    def bar_rows(self) -> tuple[int, int]:
        """Return the first and last row of the bars, counted from the symbol's upper edge as the reader places it."""
        column = (self.left, 0, self.left + self.wide, self.image.height)
        cut = [255 if light >= self.threshold else 0 for light in _LIGHT]
        pixels = self.image.crop(column).point(cut).tobytes()
        seen = self.seen.crop(
            (self.left + self.wide // 2, 0, self.left + self.wide // 2 + 1, self.image.height)
        )
        rows = [pixels[start : start + self.wide] for start in range(0, len(pixels), self.wide)]
        inside = [bool(pixel) for pixel in seen.tobytes()]
        middle = self.top + self.high // 2
        upwards = _last_alike(rows[middle::-1], inside[middle::-1])
        downwards = _last_alike(rows[middle:], inside[middle:])
        return middle - upwards - self.top, middle + downwards - self.top

    def lean(self) -> float:
        """Return by how many columns a row the first bar still leans, which the reader's corners say only roughly."""
        first, last = self.bar_rows()
        upper, lower = first + (last - first) // 10, last - (last - first) // 10
        one, other = self._first_dark(upper), self._first_dark(lower)
        return 0.0 if one is None or other is None or upper == lower else (other - one) / (lower - upper)

    def _first_dark(self, row: int) -> int | None:
        values = self._row(row)
        start = max(0, self.left - round(_LEAN * self.wide))
        return next((at for at in range(start, len(values)) if _LIGHT[values[at]] < self.threshold), None)

    def _row(self, row: int) -> bytes:
        y = self.top + row
        return self.image.crop((0, y, self.image.width, y + 1)).tobytes()

    def _span(self, row: int, before: int, behind: int) -> tuple[int, int]:
        """Return first and last column (exclusive) round the symbol, no further than the picture goes."""
        y = self.top + row
        seen = self.seen.crop((0, y, self.image.width, y + 1)).tobytes()
        start, end = self.left, self.left + self.wide
        while start > max(0, self.left + before) and seen[start - 1]:
            start -= 1
        while end < min(len(seen), self.left + self.wide + behind) and seen[end]:
            end += 1
        return start, end

    def _white(self, box: tuple[int, int, int, int], step: tuple[int, int], furthest: int) -> int:
        """Return how many lines beyond one side of a box, moving by step, are white and in the picture."""
        x, y = step
        left, top, right, bottom = box
        line = {
            (-1, 0): (left - 1, top, left, bottom),
            (1, 0): (right, top, right + 1, bottom),
            (0, -1): (left, top - 1, right, top),
            (0, 1): (left, bottom, right, bottom + 1),
        }[step]
        count = 0
        dark = [0 if light >= self.threshold else 255 for light in _LIGHT]
        begun = False
        for number in range(furthest):
            moved = (line[0] + x * number, line[1] + y * number, line[2] + x * number, line[3] + y * number)
            if min(moved) < 0 or moved[2] > self.image.width or moved[3] > self.image.height:
                return count
            if self.seen.crop(moved).getextrema()[0] == 0:
                return count
            white = self.image.crop(moved).point(dark).getbbox() is None
            begun = begun or white
            if begun and not white:
                return count
            count += 1
        return count


def _last_alike(rows: Sequence[bytes], inside: Sequence[bool]) -> int:
    """Return the last row that goes on with the bars of the first, a scratch across them passed over.

    Each row is compared with the last that went on, so that bars may lean; and has to have half as much ink as the
    first, so that white paper does not go on with white paper.
    """
    last, ink = 0, rows[0].count(0)
    for number in range(1, len(rows)):
        if not inside[number] or number - last > _SCRATCH:
            break
        if rows[number].count(0) >= ink / 2 and _alike(rows[number], rows[last]):
            last = number
    return last


def _alike(one: bytes, other: bytes) -> bool:
    """Say whether two rows of black and white pixels show the same bars."""
    if one == other:
        return True
    different = int.from_bytes(one, "big") ^ int.from_bytes(other, "big")
    return different.bit_count() / 8 <= _SAME_ROW * len(one)


def _run(values: Sequence[int], threshold: float, gap: int) -> int:
    """Return how many values from the first on are white; the edge of a bar may reach over `gap` of them."""
    for at, value in enumerate(values):
        if at >= gap and _LIGHT[value] < threshold:
            return at
    return len(values)


def straightened(flat: Image.Image, corners: Sequence[tuple[int, int]], lean: float = 0.0) -> Straight:
    """Turn a symbol upright.

    Args:
        flat: the picture, 256 greys.
        corners: of the symbol, as `images.Read` has them. Bars may be slanted to the line they are read along.
        lean: columns a row by which bars lean from what the corners say; see `Straight.lean`.
    """
    first, last, below_last, below = corners
    start = _middle(first, below)
    end = _middle(last, below_last)
    wide = max(2, round(math.dist(start, end)))
    along = ((end[0] - start[0]) / wide, (end[1] - start[1]) / wide)
    length = math.dist(_middle(first, last), _middle(below, below_last))
    down = _down(corners, along, length)
    down = (down[0] + lean * along[0], down[1] + lean * along[1])
    high = max(1, round(length))
    margin, rise = round(_ROUND * wide) + 20, max(2 * wide, high)
    # Pillow looks for the pixel whose middle is half a step right of and below its corner.
    half = high / 2
    x, y = (
        start[axis] - (margin + 0.5) * along[axis] - (rise + half + 0.5) * down[axis] + 0.5 for axis in (0, 1)
    )
    left, top, right, bottom = _inside(flat.size, (along, down), (x, y))
    left, top = max(0, left), max(0, top)
    size = (min(wide + 2 * margin, right) - left, min(high + 2 * rise, bottom) - top)
    x, y = (at + left * along[axis] + top * down[axis] for axis, at in enumerate((x, y)))
    matrix = (along[0], down[0], x, along[1], down[1], y)
    margin, rise = margin - left, rise - top
    image = flat.transform(size, Image.Transform.AFFINE, matrix, Image.Resampling.BILINEAR, fillcolor=255)
    seen = Image.new("L", flat.size, 255).transform(
        size, Image.Transform.AFFINE, matrix, Image.Resampling.NEAREST, fillcolor=0
    )
    pixels = image.crop((margin, rise, margin + wide, rise + high)).tobytes()
    threshold = (_LIGHT[min(pixels)] + _LIGHT[max(pixels)]) / 2
    return _cropped(Straight(image, seen, margin, rise, wide, high, threshold))


def _inside(
    size: tuple[int, int],
    steps: tuple[tuple[float, float], tuple[float, float]],
    start: tuple[float, float],
) -> tuple[int, int, int, int]:
    """Return left, top, right and bottom of what shows a picture: of a narrow one, a small part of what is looked at.

    Args:
        size: of the picture.
        steps: in the picture, for a step to the right and for one down.
        start: where in the picture the corner of the result is.
    """
    (right_x, right_y), (down_x, down_y) = steps
    area = right_x * down_y - right_y * down_x
    if not area:
        return 0, 0, sys.maxsize, sys.maxsize
    columns, rows = [], []
    for x, y in itertools.product((0, size[0]), (0, size[1])):
        off_x, off_y = x - start[0], y - start[1]
        columns.append((off_x * down_y - off_y * down_x) / area)
        rows.append((right_x * off_y - right_y * off_x) / area)
    return (
        math.floor(min(columns)) - 1,
        math.floor(min(rows)) - 1,
        math.ceil(max(columns)) + 1,
        math.ceil(max(rows)) + 1,
    )


def _middle(one: Sequence[float], other: Sequence[float]) -> tuple[float, float]:
    return (one[0] + other[0]) / 2, (one[1] + other[1]) / 2


def _down(
    corners: Sequence[tuple[int, int]], along: tuple[float, float], length: float
) -> tuple[float, float]:
    """Return one step along the bars; square to the line of reading if the reader saw too few rows to tell."""
    square = (-along[1], along[0])
    if length < 4:
        return square
    first, last, below_last, below = corners
    top, bottom = _middle(first, last), _middle(below, below_last)
    return (bottom[0] - top[0]) / length, (bottom[1] - top[1]) / length


def _cropped(straight: Straight) -> Straight:
    """Leave out what lies outside the picture, which may be most of it."""
    box = straight.seen.getbbox()
    assert box is not None, "a symbol that was read is in its picture"
    left, top = box[0], box[1]
    return Straight(
        straight.image.crop(box),
        straight.seen.crop(box),
        straight.left - left,
        straight.top - top,
        straight.wide,
        straight.high,
        straight.threshold,
    )
