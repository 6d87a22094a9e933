"""A label drawn from its layout, proven, and only then written.

A label is evidence: a disc in the wrong sleeve may be found by it years later. So the finished picture, not the symbol
before it was placed, is measured and read back; see `proof`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from tracelink.errors import UsageError
from tracelink.identity import symbology
from tracelink.identity.gs1.elements import write_elements
from tracelink.identity.rawlines import raw_sleeve
from tracelink.printing.fields import fill, read_fields
from tracelink.printing.label_proof import Expected, measure, prove
from tracelink.printing.layout import LabelLayout, SymbolKind
from tracelink.printing.output import whole_file
from tracelink.printing.placing import PlacedPart, filled_elements, placed_parts, require_room
from tracelink.printing.sizes import whole_dots

LEAST_DPI, MOST_DPI = 150, 2400

_IDENTIFIERS = {
    SymbolKind.CODE_128: symbology.CODE_128,
    SymbolKind.GS1_128: symbology.GS1_128,
    SymbolKind.DATA_MATRIX: symbology.DATA_MATRIX,
    SymbolKind.GS1_DATA_MATRIX: symbology.GS1_DATA_MATRIX,
}


@dataclass(frozen=True, slots=True)
class Label:
    """A label with its values in it, on the grid of one printer."""

    layout: LabelLayout
    """Layout it was made from."""
    dpi: int
    """Dots per inch of the printer."""
    width: int
    """Dots across."""
    height: int
    """Dots down."""
    parts: tuple[PlacedPart, ...]
    """What is on it; no part covers another."""
    expected: Expected
    """What it must say when it is scanned."""

    def image(self) -> Image.Image:
        """Return the label as a 1-bit picture of the printer's dots."""
        paper = Image.new("1", (self.width, self.height), 1)
        self.put_on(paper)
        return paper

    def put_on(self, paper: Image.Image) -> None:
        """Draw the label on a white 1-bit picture of its size."""
        for part in self.parts:
            part.drawing.put_on(paper, part.left, part.top)

    def proven(self) -> Image.Image:
        """Return the picture after measuring it and reading it back.

        Raises:
            LabelNotProven: a size, a quiet zone or what it says is not as it must be.
            UsageError: zbar is missing.
        """
        image = self.image()
        measure(image, self.parts, self.layout.name, self.dpi)
        prove(image, self.expected)
        return image


def _expected(layout: LabelLayout, values: Mapping[str, str]) -> Expected:
    scans = []
    for part in layout.symbols:
        content = (
            write_elements(filled_elements(part, values))
            if part.kind.has_elements
            else fill(part.data, values)
        )
        if part.kind is SymbolKind.EAN_13:
            scans.append(raw_sleeve(content))
        else:
            scans.append(_IDENTIFIERS[part.kind] + content)
    return Expected(layout.name, tuple(scans))


def make_label(layout: LabelLayout, data: Mapping[str, str], dpi: int) -> Label:
    """Fill a layout in and put everything in its place. The label is not proven yet.

    Args:
        layout: the label.
        data: a value for each of its fields.
        dpi: dots per inch of the printer, 150 to 2400.

    Raises:
        UsageError: a value or size is not as it must be, or parts do not fit or would cover each other.
    """
    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise UsageError(f"A label is printed at {LEAST_DPI} to {MOST_DPI} dpi, found {dpi}.")
    values = read_fields(layout.fields, data, layout.name)
    width, height = whole_dots(layout.width_mm, dpi), whole_dots(layout.height_mm, dpi)
    parts = placed_parts(layout, values, dpi)
    require_room(layout.name, width, height, parts, dpi)
    return Label(layout, dpi, width, height, tuple(parts), _expected(layout, values))


def write_label(path: Path, layout: LabelLayout, data: Mapping[str, str], dpi: int) -> Expected:
    """Draw a label, prove it, and write it: as a PDF if the file is to be called so, else as a PNG.

    Args:
        path: the file; one that is there is replaced, in one step, by the whole new one.
        layout: the label.
        data: a value for each of its fields.
        dpi: dots per inch of the printer.

    Returns:
        What the label says when it is scanned.

    Raises:
        UsageError: see `make_label`; or the file cannot be written.
        LabelNotProven: the label is not proven; no file was written.
    """
    label = make_label(layout, data, dpi)
    image = label.proven()
    with whole_file(path, f"Label {layout.name}") as part:
        if path.suffix.lower() == ".pdf":
            from tracelink.printing.pdf import PdfPages  # noqa: PLC0415  # pictures need no page writer

            pages = PdfPages(part, f"Label {layout.name}")
            pages.add(label)
            pages.save()
        else:
            save_png(image, part, dpi)
    return label.expected


def save_png(image: Image.Image, path: Path, dpi: int) -> None:
    """Write a picture as a PNG that knows its resolution."""
    image.save(path, format="PNG", dpi=(dpi, dpi))
