"""Bars in a picture that no reader read: where a linear symbol seems to be and nothing was said.

Neither reader tells of a symbol that it finds and cannot read, so it is looked for here by what bars are: along them
grey hardly changes, across them it changes all the time. Letters change both ways, a line or the edge of a label changes
in one place only. A field of bars that is as solid as a symbol, and on which no symbol was read, is counted.
"""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from PIL import Image, ImageChops

from tracelink.devices.images import SymbolRead, grey, read_symbols

CELL = 24
"""Side of the squares that are looked at, in pixels."""
_LONGEST = 2000
"""Pictures with a longer side are looked at smaller: bars of large pictures stay bars, and letters stay small."""
_CHANGE = 6
"""Least change from pixel to pixel across bars, in greys of 256; blurred bars have as little."""
_RATIO = 4
"""Least change across bars, in changes along them; letters have about 1."""
_LEAST_ALONG, _LEAST_ACROSS = 3, 5
"""Cells that a field of bars is high, and wide, at least."""
_LEAST_SOLID = 0.7
"""Share of a field's cells that are bars; of large digits beside each other about 0.6."""

_Cell = tuple[int, int]
"""Column and row."""


def read_picture_file(path: Path, name: str = "") -> tuple[list[str], int]:
    """Return the lines of a picture, and in how many places of it there seem to be bars that were not read.

    Args:
        path: as for `images.read_image`, which says what is raised.
        name: what to call the picture in a sentence; its path unless said.
    """
    lines, image, reads = read_symbols(path, name)
    return lines, unread_bars(image, reads)


def unread_bars(image: Image.Image, reads: Sequence[SymbolRead]) -> int:
    """Return in how many places of a picture there seem to be bars that were not read.

    Args:
        image: any Pillow image.
        reads: the symbols that were read in it.
    """
    flat = grey(image)
    smaller = max(1, -(-max(flat.size) // _LONGEST))
    flat = flat.reduce(smaller) if smaller > 1 else flat
    across, down = _change(flat, 1, 0), _change(flat, 0, 1)
    read = {cell for each in reads for cell in _cells_of(each, smaller)}
    upright = _fields(_bars(across, down) - read, _LEAST_ACROSS, _LEAST_ALONG)
    turned = _fields(_bars(down, across) - read, _LEAST_ALONG, _LEAST_ACROSS)
    return upright + turned


def _change(flat: Image.Image, right: int, below: int) -> dict[_Cell, int]:
    """How much grey changes from one pixel to its neighbour, on an average of each cell."""
    moved = ImageChops.difference(flat, ImageChops.offset(flat, -right, -below))
    # What is moved out at an edge comes in at the other; the last, incomplete cells are left out with it.
    inside = moved.crop((0, 0, (flat.width - 1) // CELL * CELL, (flat.height - 1) // CELL * CELL))
    if not (inside.width and inside.height):
        return {}
    means = inside.reduce(CELL)
    return {(n % means.width, n // means.width): mean for n, mean in enumerate(means.tobytes())}


def _bars(over: dict[_Cell, int], along: dict[_Cell, int]) -> set[_Cell]:
    return {cell for cell, change in over.items() if change >= max(_CHANGE, _RATIO * along[cell])}


def _cells_of(read: SymbolRead, smaller: int) -> Iterator[_Cell]:
    """The cells of a symbol that was read, and those around it."""
    side = CELL * smaller
    columns, rows = ([corner[way] // side for corner in read.corners] for way in (0, 1))
    for column in range(min(columns) - 1, max(columns) + 2):
        for row in range(min(rows) - 1, max(rows) + 2):
            yield column, row


def _fields(cells: set[_Cell], least_wide: int, least_high: int) -> int:
    return sum(_is_symbol(field, least_wide, least_high) for field in _connected(cells))


def _connected(cells: set[_Cell]) -> Iterator[list[_Cell]]:
    left = set(cells)
    while left:
        field = [left.pop()]
        for column, row in field:
            beside = {(column + 1, row), (column - 1, row), (column, row + 1), (column, row - 1)} & left
            left -= beside
            field += beside
        yield field


def _is_symbol(field: Sequence[_Cell], least_wide: int, least_high: int) -> bool:
    wide, high = (_extent(cell[way] for cell in field) for way in (0, 1))
    return wide >= least_wide and high >= least_high and len(field) >= _LEAST_SOLID * wide * high


def _extent(places: Iterable[int]) -> int:
    found = list(places)
    return max(found) - min(found) + 1
