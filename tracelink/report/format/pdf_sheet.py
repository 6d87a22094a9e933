"""Tables on the sheets of a PDF: columns as wide as their codes need, the rest for running text."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph, Table, TableStyle

from tracelink.report.format import svg
from tracelink.report.format.grids import Grid, GridCell
from tracelink.report.format.pdf_text import BOLD, RUNNING, Setter
from tracelink.report.format.plain import grouped
from tracelink.report.format.render import Column

_SIZE = 7.0
_LEADING = 9.0
_BETWEEN = 8.0
_LEAST = 40.0
"""Points that a column of running text gets at least."""

_LOUD = ("BAD", "NONE", "proven")
"""Cells that must not be overlooked; the page sets the same ones apart."""

_ALIGNED = {
    (bold, right): ParagraphStyle(
        f"cell {bold} {right}",
        fontName=BOLD if bold else RUNNING,
        fontSize=_SIZE,
        leading=_LEADING,
        **({"alignment": TA_RIGHT} if right else {}),
    )
    for bold in (False, True)
    for right in (False, True)
}
_LOUD_STYLE = ParagraphStyle("loud", _ALIGNED[True, False], textColor=HexColor(svg.ACCENT))


def sheet_table(grid: Grid, setter: Setter, width: float) -> Table:
    """Make a table whose heading comes again on every sheet.

    Args:
        grid: its cells.
        setter: sets their text.
        width: points that it may take.
    """
    wanted, widths = _widths(grid, setter, width)
    # A code stays on one line, and so costs no paragraph, unless its column had to give way.
    fits = [have >= want for have, want in zip(widths, wanted, strict=True)]
    table = Table(
        [_heading(grid, setter), *_body(grid, setter, fits)],
        colWidths=widths,
        repeatRows=1,
        splitInRow=1,
        hAlign="LEFT",
    )
    style: list[tuple[object, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONT", (0, 0), (-1, -1), RUNNING, _SIZE, _LEADING),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), _BETWEEN),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, HexColor(svg.INK)),
        ("LINEBELOW", (0, 1), (-1, -1), 0.3, HexColor(svg.FAINT)),
    ]
    style += [
        ("ALIGN", (place, 0), (place, -1), "RIGHT")
        for place, column in enumerate(grid.columns)
        if column.number
    ]
    if grid.foot:
        first = 1 + len(grid.rows)
        style += [
            ("LINEBELOW", (0, first), (-1, -1), 0.3, HexColor("#FFFFFF")),
            ("LINEABOVE", (0, first), (-1, first), 0.5, HexColor(svg.INK), 1, None, None, 2, 1.5),
            # The sums stay on the sheet of the last line that they sum.
            ("NOSPLIT", (0, first - 1), (-1, -1)),
        ]
    table.setStyle(TableStyle(style))
    return table


def _heading(grid: Grid, setter: Setter) -> list[Paragraph]:
    return [
        Paragraph(setter.markup(column.title, BOLD), _ALIGNED[True, column.number]) for column in grid.columns
    ]


def _body(grid: Grid, setter: Setter, fits: Sequence[bool]) -> list[list[Paragraph | str]]:
    return [
        [
            _cell(cell, column, setter, bold=place >= len(grid.rows), fits=room)
            for cell, column, room in zip(row, grid.columns, fits, strict=True)
        ]
        for place, row in enumerate((*grid.rows, *grid.foot))
    ]


def _cell(cell: GridCell, column: Column, setter: Setter, *, bold: bool, fits: bool) -> Paragraph | str:
    if cell in _LOUD:
        return Paragraph(setter.markup(str(cell), BOLD), _LOUD_STYLE)
    words = said(cell)
    if fits and not bold and not column.wraps:
        runs = setter.runs(words, RUNNING)
        if all(run.font == RUNNING for run in runs):
            return "".join(run.text for run in runs)
    style = _ALIGNED[bold, column.number]
    return Paragraph(setter.markup(words, style.fontName), style)


def said(cell: GridCell) -> str:
    """A cell as it is printed."""
    if cell is None:
        return "–"
    return grouped(cell) if isinstance(cell, int) else cell


def _widths(grid: Grid, setter: Setter, width: float) -> tuple[list[float], list[float]]:
    """What each column would like, and what it gets. Codes and numbers get what they need; running text shares the rest by what it would like."""
    wanted, least = [], []
    for place, column in enumerate(grid.columns):
        cells = [said(row[place]) for row in (*grid.rows, *grid.foot)]
        body = max((_wide(setter, cell, RUNNING) for cell in cells[: len(grid.rows)]), default=0.0)
        foot = max((_wide(setter, cell, BOLD) for cell in cells[len(grid.rows) :]), default=0.0)
        head = max((_wide(setter, word, BOLD) for word in column.title.split()), default=0.0)
        full = max(body, foot if not column.wraps else 0.0, head) + _BETWEEN + 0.5
        longest = max(
            (_wide(setter, word, RUNNING) for cell in cells for word in cell.split(" ")), default=0.0
        )
        wanted.append(max(full, min(_wide(setter, column.title, BOLD), 70) + _BETWEEN))
        least.append(max(_LEAST, head, min(longest, 130)) + _BETWEEN if column.wraps else full)
    return wanted, _shared(wanted, least, width)


def _shared(wanted: Sequence[float], least: Sequence[float], width: float) -> list[float]:
    if sum(wanted) <= width:
        return list(wanted)
    low = [min(one, other) for one, other in zip(wanted, least, strict=True)]
    room = width - sum(low)
    if room <= 0:
        # More codes than a sheet is wide: all columns give way, and codes break.
        return [one * width / sum(low) for one in low]
    more = [one - other for one, other in zip(wanted, low, strict=True)]
    return [one + room * extra / sum(more) for one, extra in zip(low, more, strict=True)]


def _wide(setter: Setter, words: str, font: str) -> float:
    return setter.width(words, font, _SIZE)
