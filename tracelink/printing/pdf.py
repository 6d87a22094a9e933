"""Labels as a PDF: bars as filled rectangles on the printer's own grid of dots, never as pictures.

A page writer's unit here is one dot. So a bar of 3 dots at 203 dpi is 3 x 25.4 / 203 mm on paper, whatever scales the
page, and bars meet the dots of a thermal head; a bar of a round number of millimetres would not. The same drawing
was proven as a picture before.

The same labels give the same bytes: no date, no random name is in the file.
"""

import functools
from pathlib import Path

from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from tracelink.printing.label import Label
from tracelink.printing.lettering import FACE, TextLine
from tracelink.printing.placing import PlacedPart
from tracelink.printing.sheet import LabelSheet

_POINTS_PER_INCH = 72
_FONT = "DejaVuSansMono"
_HAIRLINE_MM = 0.1
_CUT_GREY = 0.6
"""Cut lines must be seen by a person and are far from being a bar."""


class PdfPages:
    """A PDF under way: add labels, then save."""

    def __init__(self, path: Path, title: str, sheet: LabelSheet | None = None) -> None:
        self._canvas = Canvas(str(path), invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._sheet = sheet
        self._on_page = 0
        _register_font()

    def add(self, label: Label) -> None:
        """Add a label: on a page of its size, or in the next place of the sheet."""
        if self._sheet is None:
            size = (label.layout.width_mm, label.layout.height_mm)
            self.put(label, (0.0, 0.0), size)
            self.end_page()
            return
        if self._on_page == self._sheet.count:
            self._end_sheet(self._sheet)
        corner = self._sheet.corner_mm(self._on_page)
        self.put(label, corner, (self._sheet.width_mm, self._sheet.height_mm))
        self._on_page += 1

    def save(self) -> None:
        """Write the file."""
        if self._sheet is not None and self._on_page:
            self._end_sheet(self._sheet)
        self._canvas.save()

    def put(self, label: Label, corner_mm: tuple[float, float], page_mm: tuple[float, float]) -> None:
        """Put a label anywhere on the page under way, whose width and height are `page_mm`."""
        canvas = self._canvas
        canvas.setPageSize((page_mm[0] * mm, page_mm[1] * mm))
        canvas.saveState()
        canvas.translate(0, page_mm[1] * mm)
        canvas.scale(_POINTS_PER_INCH / label.dpi, _POINTS_PER_INCH / label.dpi)
        canvas.setFillGray(0)
        left, top = (round(side * label.dpi * mm / _POINTS_PER_INCH) for side in corner_mm)
        for part in label.parts:
            _draw_part(canvas, part, left, top)
        canvas.restoreState()

    def head(
        self, text: str, size_mm: float, page_mm: tuple[float, float], white_mm: float, top_mm: float = 0.0
    ) -> None:
        """Write a heading in the middle of the white of `white_mm` that begins at `top_mm` of the page under way."""
        self._canvas.setFont(_FONT, size_mm * mm)
        baseline = page_mm[1] - top_mm - white_mm / 2 - size_mm / 3
        self._canvas.drawCentredString(page_mm[0] / 2 * mm, baseline * mm, text)

    def end_page(self) -> None:
        """End the page under way."""
        self._canvas.showPage()

    def _end_sheet(self, sheet: LabelSheet) -> None:
        canvas = self._canvas
        canvas.setLineWidth(_HAIRLINE_MM * mm)
        canvas.setStrokeGray(_CUT_GREY)
        right = sheet.width_mm - sheet.left_mm
        bottom = sheet.height_mm - sheet.top_mm - sheet.rows * sheet.label_height_mm
        for column in range(sheet.columns + 1):
            x = (sheet.left_mm + column * sheet.label_width_mm) * mm
            canvas.line(x, bottom * mm, x, (sheet.height_mm - sheet.top_mm) * mm)
        for row in range(sheet.rows + 1):
            y = (sheet.height_mm - sheet.top_mm - row * sheet.label_height_mm) * mm
            canvas.line(sheet.left_mm * mm, y, right * mm, y)
        canvas.showPage()
        self._on_page = 0


def _draw_part(canvas: Canvas, part: PlacedPart, left: int, top: int) -> None:
    for bar in part.drawing.bars:
        x, y = left + part.left + bar.left, top + part.top + bar.top
        # Bars are whole dots: the canvas would spend most of a page on rounding them for itself.
        canvas.addLiteral(f"n {x} {-(y + bar.height)} {bar.width} {bar.height} re f")
    for words in part.drawing.words:
        _write(canvas, words, left + part.left, top + part.top)


def _write(canvas: Canvas, words: TextLine, left: int, top: int) -> None:
    """Write a line as wide as it is in the proven picture, whose letters stand on whole dots."""
    natural = pdfmetrics.stringWidth(words.text, _FONT, words.size)
    line = canvas.beginText(left + words.left, -(top + words.baseline))
    line.setFont(_FONT, words.size)
    line.setHorizScale(100 * words.width / natural)
    line.textOut(words.text)
    canvas.drawText(line)


@functools.cache
def _register_font() -> None:
    pdfmetrics.registerFont(TTFont(_FONT, str(FACE)))
