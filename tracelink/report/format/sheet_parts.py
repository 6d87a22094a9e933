"""What every sheet of a document has: its size and margins, a foot with its number, boxes to tick, a line in the outline."""

from __future__ import annotations

from typing import Any

from reportlab.lib.pagesizes import A4, landscape
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from tracelink.report.format.pdf_text import RUNNING, FontRun, width_of

SIZE = landscape(A4)
"""Width and height of a sheet, points."""
MARGIN = 13 * mm
FOOT = 17 * mm
"""What is free below the text, for the foot."""
FOOT_SIZE = 6.5
"""Size of its letters, points."""


class EmptyBox(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """An empty box for a pen."""

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """A capital high."""
        return 8, 8

    def draw(self) -> None:
        """An outline."""
        self.canv.setLineWidth(0.7)
        self.canv.rect(0, -1, 8, 8)


class Bookmark(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A line in the outline that a reader shows beside the sheets."""

    def __init__(self, title: str) -> None:
        super().__init__()
        self._title = title

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """It takes no room."""
        return 0, 0

    def draw(self) -> None:
        """Note where it stands."""
        self.canv.bookmarkPage(self._title)
        self.canv.addOutlineEntry(self._title, self._title)


def numbered_canvas(footer: list[FontRun]) -> type[Canvas]:
    """A canvas that prints the imprint and `sheet 1 of 9` on every sheet, once their number is known."""

    class Numbered(Canvas):  # type: ignore[misc]  # reportlab ships no types
        def __init__(self, *args: object, **more: object) -> None:
            super().__init__(*args, **more)
            self._sheets: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802  reportlab's name
            self._sheets.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, state in enumerate(self._sheets, 1):
                self.__dict__.update(state)
                self._foot(f"Sheet {number} of {len(self._sheets)}")
                super().showPage()
            super().save()

        def _foot(self, numbered: str) -> None:
            self.setLineWidth(0.5)
            self.line(MARGIN, FOOT - 4, SIZE[0] - MARGIN, FOOT - 4)
            line = self.beginText(MARGIN, FOOT - 14)
            for run in footer:
                line.setFont(run.font, FOOT_SIZE)
                line.textOut(run.text)
            self.drawText(line)
            runs = [FontRun(RUNNING, numbered)]
            self.setFont(RUNNING, FOOT_SIZE)
            self.drawString(SIZE[0] - MARGIN - width_of(runs, FOOT_SIZE), FOOT - 14, numbered)

    return Numbered
