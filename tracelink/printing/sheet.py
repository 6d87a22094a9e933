"""How labels are laid on an A4 sheet: edge to edge, so that one cut parts two of them."""

from dataclasses import dataclass

from tracelink.errors import UsageError

A4_MM = (210.0, 297.0)
"""Source: ISO 216."""


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A page of equal labels."""

    width_mm: float
    """Width of the page in millimetres."""
    height_mm: float
    """Height of the page in millimetres."""
    columns: int
    rows: int
    label_width_mm: float
    label_height_mm: float
    top_mm: float
    """White above the first row."""

    @property
    def count(self) -> int:
        """Labels to a page."""
        return self.columns * self.rows

    @property
    def left_mm(self) -> float:
        """White left of the first column; as much is right of the last."""
        return (self.width_mm - self.columns * self.label_width_mm) / 2

    def corner_mm(self, number: int) -> tuple[float, float]:
        """Return left and top of the label with that number, 0 for the first, row by row."""
        row, column = divmod(number, self.columns)
        return self.left_mm + column * self.label_width_mm, self.top_mm + row * self.label_height_mm


def sheet_of(width_mm: float, height_mm: float, label: str) -> LabelSheet:
    """Return the A4 sheet, upright or across, that takes most labels of a size; upright if both take as many.

    Args:
        width_mm: of the label.
        height_mm: of the label.
        label: its name, for sentences.

    Raises:
        UsageError: the label is larger than A4.
    """
    upright = _filled(*A4_MM, width_mm, height_mm)
    across = _filled(A4_MM[1], A4_MM[0], width_mm, height_mm)
    best = upright if upright.count >= across.count else across
    if best.count == 0:
        raise UsageError(
            f"Label {label} of {width_mm:g} x {height_mm:g} mm does not fit on an A4 sheet; print it one to a page."
        )
    return best


def _filled(page_width: float, page_height: float, width_mm: float, height_mm: float) -> LabelSheet:
    columns, rows = int(page_width // width_mm), int(page_height // height_mm)
    top = (page_height - rows * height_mm) / 2
    return LabelSheet(page_width, page_height, columns, rows, width_mm, height_mm, top)
