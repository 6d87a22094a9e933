"""Labels drawn without being proven or written."""

from collections.abc import Mapping

from PIL import Image

from tracelink.devices.images import read_pixels
from tracelink.printing.fields import read_fields
from tracelink.printing.label import Label, _expected, make_label
from tracelink.printing.label_proof import Expected
from tracelink.printing.layout import LabelLayout


def expected_of(layout: LabelLayout, data: Mapping[str, str]) -> Expected:
    """Return what a label must scan as; known from the data alone, without drawing.

    Args:
        layout: the label.
        data: a value for each of its fields.

    Raises:
        UsageError: a value is missing, not asked for, or not what its field must be.
    """
    return _expected(layout, read_fields(layout.fields, data, layout.name))


def draw_label(layout: LabelLayout, data: Mapping[str, str], dpi: int) -> Image.Image:
    """Return a label's 1-bit picture, not proven; see `make_label`."""
    return make_label(layout, data, dpi).image()


ROWS = 48
"""Rows of bars that are looked at; where all are the same, any other 48 say as much."""


def read_apart(image: Image.Image, label: Label) -> list[str]:
    """Return what both readers read of each symbol of a label on its own area, quiet zones with it.

    Args:
        image: the label, drawn or rendered at its dots.
        label: says where its symbols are.
    """
    found = []
    for part in label.parts:
        if (extent := part.drawing.symbol) is not None:
            top, bottom = part.top + extent.top, part.top + extent.top + extent.height
            if extent.rule.is_matrix:
                box = (part.left, part.top, part.right, part.bottom)
            else:
                middle = (top + bottom) // 2
                box = (part.left, middle - ROWS // 2, part.right, middle + ROWS // 2)
            found += read_pixels(image.crop(box), part.name)
    return found
