"""Labels drawn without being proven or written."""

from collections.abc import Mapping

from PIL import Image

from tracelink.printing.fields import read_fields
from tracelink.printing.label import _expected, make_label
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
