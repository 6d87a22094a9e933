"""The proof that a drawn label is right, made on its finished picture and not on what it was drawn from.

Three things are proven, and nothing is written that fails one:

- **Size.** Every bar and space is a whole number of modules, the module is inside the range that the standard gives
  for this use, bars are as high as it asks. Measured in the picture's own dots.
- **Quiet zones.** Readers decode without them, so reading proves nothing about them: they are looked at dot by dot.
- **Content.** The whole label is read as a picture from the floor is: linear symbols by two independent readers, a
  Data Matrix by the one that can. Each symbol is there exactly once, with the symbology identifier and bytes that
  were asked for, and nothing else is on the label that can be read.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image

from tracelink.devices.images import read_pixels
from tracelink.errors import ImageDoubtful, LabelNotProven
from tracelink.printing.drawing import Extent
from tracelink.printing.placing import PlacedPart
from tracelink.printing.sizes import TOLERANCE_MM, millimetres

_NOT_WRITTEN = "The label was not written."
_WHITE = 255

ROWS_READ = 8
"""Rows of bars that are read where all are the same; zbar believes an EAN that three rows show."""


@dataclass(frozen=True, slots=True)
class Expected:
    """What a label must say when it is scanned."""

    label: str
    """The label's name, for sentences."""
    scans: tuple[str, ...]
    """One line per symbol as a scanner sends it, in the order of the layout."""


def prove(image: Image.Image, expected: Expected) -> None:
    """Read a drawn label back and raise unless it says exactly what it must.

    Args:
        image: the label as it will be printed.
        expected: what it must say.

    Raises:
        LabelNotProven: a symbol is missing, one too many, or says something else; or the readers disagree.
        UsageError: zbar is missing.
    """
    _require_read(image, f"Label {expected.label}", expected.scans)


def prove_apart(image: Image.Image, parts: Sequence[PlacedPart], expected: Expected) -> None:
    """Read each symbol of a drawn label on its own area, which is a fraction of the label.

    The whole label has to be read as well, or another one that is arranged alike: what reads where no symbol should
    be is not looked for here.

    Args:
        image: the label as it will be printed, already measured.
        parts: its parts in their places.
        expected: what it must say.

    Raises:
        LabelNotProven: the area of a symbol does not say that symbol's content and nothing else.
        UsageError: zbar is missing.
    """
    symbols = [part for part in parts if part.drawing.symbol is not None]
    for part, scan in zip(symbols, expected.scans, strict=True):
        _require_read(_area(image, part), f"Label {expected.label}, {part.name}", [scan])


def _area(image: Image.Image, part: PlacedPart) -> Image.Image:
    """Return a symbol with its quiet zones; of bars, which were measured to be the same in every row, a few rows."""
    extent = part.drawing.symbol
    assert extent is not None, "a part without a symbol has no area to read"
    before, behind = extent.rule.quiet_left * extent.module, extent.rule.quiet_right * extent.module
    left, top = part.left + extent.left, part.top + extent.top
    right, bottom = left + extent.width + behind, top + extent.height
    if extent.rule.is_matrix:
        return image.crop((left - before, top - before, right, bottom + behind))
    return image.crop((left - before, top, right, min(bottom, top + ROWS_READ)))


def _require_read(image: Image.Image, place: str, scans: Sequence[str]) -> None:
    try:
        found = read_pixels(image, place)
    except ImageDoubtful as error:
        raise LabelNotProven(f"{error} {_NOT_WRITTEN}") from error
    if sorted(found) != sorted(scans):
        raise LabelNotProven(
            f"{place} does not read back: expected {_listed(scans)}, found {_listed(found)}. {_NOT_WRITTEN}"
        )


def measure(image: Image.Image, parts: Sequence[PlacedPart], label: str, dpi: int) -> None:
    """Measure the symbols of a drawn label and raise unless each is as its standard asks.

    Args:
        image: the label as it will be printed, 1 bit a dot.
        parts: its parts in their places; those that are no symbols are passed over.
        label: its name, for sentences.
        dpi: dots per inch of the printer.

    Raises:
        LabelNotProven: a module, a bar or a quiet zone is not as it must be.
    """
    for part in parts:
        if part.drawing.symbol is not None:
            _measure_symbol(image, part, part.drawing.symbol, f"Label {label}, {part.name}", dpi)


def _measure_symbol(image: Image.Image, part: PlacedPart, extent: Extent, place: str, dpi: int) -> None:
    left, top = part.left + extent.left, part.top + extent.top
    box = (left, top, left + extent.width, top + extent.height)
    rows = _rows(image, box)
    rule = extent.rule
    if rule.is_matrix:
        _require_modules([*rows, *_rows(image, box, turned=True)], extent.module, place)
    else:
        if any(row != rows[0] for row in rows):
            raise _fault(place, "bars that are the same from top to bottom", "a bar that is broken")
        _require_modules(rows[:1], extent.module, place)
        if millimetres(len(rows), dpi) < rule.height_min_mm - TOLERANCE_MM:
            raise _fault(
                place,
                f"bars of at least {rule.height_min_mm} mm",
                f"{millimetres(len(rows), dpi):.2f} mm",
            )
    x_mm = millimetres(extent.module, dpi)
    if not rule.x_min_mm - TOLERANCE_MM <= x_mm <= rule.x_max_mm + TOLERANCE_MM:
        raise _fault(place, f"a module of {rule.x_min_mm:.3f} to {rule.x_max_mm:.3f} mm", f"{x_mm:.3f} mm")
    _require_quiet(image, box, extent, place)


def _require_modules(rows: Sequence[bytes], module: int, place: str) -> None:
    """Every run is a whole number of modules, and somewhere one module is alone: so the module is measured."""
    narrowest = None
    for row in dict.fromkeys(rows):
        for _colour, run in itertools.groupby(row):
            length = len(list(run))
            if length % module:
                raise _fault(place, f"bars of whole modules of {module} dots", f"one of {length} dots")
            narrowest = min(length, narrowest or length)
    if narrowest != module:
        raise _fault(place, f"a narrowest bar of {module} dots", f"{narrowest} dots")


def _require_quiet(image: Image.Image, box: tuple[int, int, int, int], extent: Extent, place: str) -> None:
    left, top, right, bottom = box
    before, behind = extent.rule.quiet_left * extent.module, extent.rule.quiet_right * extent.module
    zones = {
        f"{extent.rule.quiet_left} modules of white before it": (left - before, top, left, bottom),
        f"{extent.rule.quiet_right} modules of white behind it": (right, top, right + behind, bottom),
    }
    if extent.rule.is_matrix:
        zones["a module of white above it"] = (left, top - before, right, top)
        zones["a module of white below it"] = (left, bottom, right, bottom + behind)
    for wanted, zone in zones.items():
        if zone[0] < 0 or zone[1] < 0 or zone[2] > image.width or zone[3] > image.height:
            raise _fault(place, wanted, "the edge of the label")
        if image.crop(zone).convert("L").getextrema() != (_WHITE, _WHITE):
            raise _fault(place, wanted, "a black dot there")


def _rows(image: Image.Image, box: tuple[int, int, int, int], *, turned: bool = False) -> list[bytes]:
    part = image.crop(box).convert("L")
    if turned:
        part = part.transpose(Image.Transpose.TRANSPOSE)
    dots, wide = part.tobytes(), part.width
    return [dots[start : start + wide] for start in range(0, len(dots), wide)]


def _fault(place: str, expected: str, found: str) -> LabelNotProven:
    return LabelNotProven(f"{place}: expected {expected}, found {found}. {_NOT_WRITTEN}")


def _listed(scans: Sequence[str]) -> str:
    return ", ".join(map(repr, scans)) or "nothing"
