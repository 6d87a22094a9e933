"""A label drawn from its layout, read back, and only then written.

A label is evidence: a disc in the wrong sleeve may be found by it years later. So the finished picture, not the symbol
before it was placed, is read by the same two readers that read pictures from the floor, and must say exactly what
was asked for. What reading cannot prove is white space (both readers decode without quiet zones), so nothing may be
placed within a symbol's.
"""

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from tracelink.devices.images import read_pixels
from tracelink.errors import ImageDoubtful, LabelNotProven, UsageError
from tracelink.identity import symbology
from tracelink.identity.elements import write_elements
from tracelink.printing.fields import fill, read_fields
from tracelink.printing.layout import Layout, SymbolKind
from tracelink.printing.placing import filled_elements, placed_parts, require_room
from tracelink.printing.sizes import whole_dots

LEAST_DPI, MOST_DPI = 150, 2400

_IDENTIFIERS = {
    SymbolKind.CODE_128: symbology.CODE_128,
    SymbolKind.GS1_128: symbology.GS1_128,
    SymbolKind.EAN_13: symbology.EAN_13,
    SymbolKind.DATA_MATRIX: symbology.DATA_MATRIX,
    SymbolKind.GS1_DATA_MATRIX: symbology.GS1_DATA_MATRIX,
}


@dataclass(frozen=True, slots=True)
class Expected:
    """What a label must say when it is scanned."""

    label: str
    """The label's name, for sentences."""
    scans: tuple[str, ...]
    """One line per symbol as a scanner sends it, in the order of the layout."""


def expected_of(layout: Layout, data: Mapping[str, str]) -> Expected:
    """Return what a label must scan as; known from the data alone, without drawing.

    Args:
        layout: the label.
        data: a value for each of its fields.

    Raises:
        UsageError: a value is missing, not asked for, or not what its field must be.
    """
    values = read_fields(layout.fields, data, layout.name)
    scans = []
    for part in layout.symbols:
        content = (
            write_elements(filled_elements(part, values))
            if part.kind.has_elements
            else fill(part.data, values)
        )
        scans.append(_IDENTIFIERS[part.kind] + content)
    return Expected(layout.name, tuple(scans))


def draw_label(layout: Layout, data: Mapping[str, str], dpi: int) -> Image.Image:
    """Draw a label at the printer's own resolution. It is not proven yet; see `prove`.

    Args:
        layout: the label.
        data: a value for each of its fields.
        dpi: dots per inch of the printer, 150 to 2400.

    Returns:
        A 1-bit image of the label's size.

    Raises:
        UsageError: a value or size is not as it must be, or parts do not fit or would cover each other.
    """
    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise UsageError(f"A label is printed at {LEAST_DPI} to {MOST_DPI} dpi, found {dpi}.")
    values = read_fields(layout.fields, data, layout.name)
    image = Image.new("1", (whole_dots(layout.width_mm, dpi), whole_dots(layout.height_mm, dpi)), 1)
    parts = placed_parts(layout, values, dpi)
    require_room(layout.name, image, parts, dpi)
    for part in parts:
        image.paste(part.image, (part.left, part.top))
    return image


def prove(image: Image.Image, expected: Expected) -> None:
    """Read a drawn label back and raise unless it says exactly what it must.

    Linear symbols are read by two independent readers, a Data Matrix by the one that can.

    Args:
        image: the label as it will be printed.
        expected: what it must say.

    Raises:
        LabelNotProven: a symbol is missing, one too many, or says something else; or the readers disagree.
        UsageError: zbar is missing.
    """
    try:
        found = read_pixels(image, f"Label {expected.label}")
    except ImageDoubtful as error:
        raise LabelNotProven(f"{error} The label was not written.") from error
    if sorted(found) != sorted(expected.scans):
        raise LabelNotProven(
            f"Label {expected.label} does not read back: expected {_listed(expected.scans)}, found {_listed(found)}. "
            "The label was not written."
        )


def write_label(path: Path, layout: Layout, data: Mapping[str, str], dpi: int) -> Expected:
    """Draw a label, prove it, and write it as a PNG that knows its resolution.

    Args:
        path: the file; one that is there is replaced, in one step, by the whole new one.
        layout: the label.
        data: a value for each of its fields.
        dpi: dots per inch of the printer.

    Returns:
        What the label says when it is scanned.

    Raises:
        UsageError: see `draw_label`; or the file cannot be written.
        LabelNotProven: the label did not read back; no file was written.
    """
    expected = expected_of(layout, data)
    image = draw_label(layout, data, dpi)
    prove(image, expected)
    try:
        _save(image, path, dpi)
    except OSError as error:
        raise UsageError(
            f"Label {layout.name} cannot be written to {path}: {error.strerror or error}."
        ) from error
    return expected


def _save(image: Image.Image, path: Path, dpi: int) -> None:
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        image.save(part, format="PNG", dpi=(dpi, dpi))
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


def _listed(scans: Sequence[str]) -> str:
    return ", ".join(map(repr, scans)) or "nothing"
