"""Tables on the sheets of a PDF: columns as wide as their codes need, the rest for running text."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph, TableStyle
from reportlab.platypus import Table as SheetTable

from tracelink.report.format import svg
from tracelink.report.format.pdf_text import BOLD, MONO, RUNNING, Setter
from tracelink.report.format.shown import LOUD, code_parts, on_paper
from tracelink.report.format.table import Cell, Column, Table

_SIZE = 7.0
_LEADING = 9.0
_BETWEEN = 8.0
_LEAST = 40.0
"""Points that a column of running text gets at least."""

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
_LOUD_STYLE = ParagraphStyle("loud", _ALIGNED[True, False], textColor=HexColor(svg.ACCENT_TEXT))


def sheet_table(table: Table, setter: Setter, width: float) -> SheetTable:
    """Make a table whose heading comes again on every sheet.

    Args:
        table: the table.
        setter: sets their text.
        width: points that it may take.
    """
    wanted, widths = _widths(table, setter, width)
    # A code stays on one line, and so costs no paragraph, unless its column had to give way.
    fits = [have >= want for have, want in zip(widths, wanted, strict=True)]
    laid = SheetTable(
        [_heading(table, setter), *_body(table, setter, fits)],
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
        for place, column in enumerate(table.columns)
        if column.number
    ]
    if table.foot:
        first = 1 + len(table.rows)
        style += [
            ("LINEBELOW", (0, first), (-1, -1), 0.3, HexColor("#FFFFFF")),
            ("LINEABOVE", (0, first), (-1, first), 0.5, HexColor(svg.INK), 1, None, None, 2, 1.5),
            # The sums stay on the sheet of the last line that they sum.
            ("NOSPLIT", (0, first - 1), (-1, -1)),
        ]
    laid.setStyle(TableStyle(style))
    return laid


def _heading(table: Table, setter: Setter) -> list[Paragraph]:
    return [
        Paragraph(setter.markup(column.heading, BOLD), _ALIGNED[True, column.number])
        for column in table.columns
    ]


def _body(table: Table, setter: Setter, fits: Sequence[bool]) -> list[list[Paragraph | str]]:
    return [
        [
            _cell(cell, column, setter, bold=place >= len(table.rows), fits=room)
            for cell, column, room in zip(row, table.columns, fits, strict=True)
        ]
        for place, row in enumerate((*table.rows, *table.foot))
    ]


def _cell(cell: Cell, column: Column, setter: Setter, *, bold: bool, fits: bool) -> Paragraph | str:
    if cell in LOUD:
        # Underlined as well: printed in grey, the colour alone would be weaker than the black beside it.
        return Paragraph(f"<u>{setter.markup(str(cell), BOLD)}</u>", _LOUD_STYLE)
    words = on_paper(cell, column)
    parts = code_parts(words)
    if fits and not bold and not column.gives_way and not any(is_code for is_code, _part in parts):
        runs = setter.runs(words, RUNNING)
        if all(run.font == RUNNING for run in runs):
            return "".join(run.text for run in runs)
    style = _ALIGNED[bold, column.number]
    return Paragraph(_markup(parts, setter, style.fontName), style)


def _markup(parts: Sequence[tuple[bool, str]], setter: Setter, font: str) -> str:
    # What is bold is a sum or a head, and stays so.
    return "".join(
        f'<font name="{MONO}">{setter.markup(part, MONO)}</font>'
        if is_code and font == RUNNING
        else setter.markup(part, font)
        for is_code, part in parts
    )


def _widths(table: Table, setter: Setter, width: float) -> tuple[list[float], list[float]]:
    """What each column would like, and what it gets. Codes and numbers get what they need; running text shares the rest by what it would like."""
    wanted, least = [], []
    for place, column in enumerate(table.columns):
        cells = [on_paper(row[place], column) for row in (*table.rows, *table.foot)]
        body = max(
            (_wide(setter, cell, BOLD if cell in LOUD else RUNNING) for cell in cells[: len(table.rows)]),
            default=0.0,
        )
        foot = max((_wide(setter, cell, BOLD) for cell in cells[len(table.rows) :]), default=0.0)
        head = max((_wide(setter, word, BOLD) for word in column.heading.split()), default=0.0)
        full = max(body, foot if not column.gives_way else 0.0, head) + _BETWEEN + 0.5
        longest = max(
            (_wide(setter, word, RUNNING) for cell in cells for word in cell.split(" ")), default=0.0
        )
        wanted.append(max(full, min(_wide(setter, column.heading, BOLD), 70) + _BETWEEN))
        least.append(max(_LEAST, head, min(longest, 130)) + _BETWEEN if column.gives_way else full)
    return wanted, _shared(wanted, least, width)


def _shared(wanted: Sequence[float], least: Sequence[float], width: float) -> list[float]:
    if sum(wanted) <= width:
        return list(wanted)
    low = [min(one, other) for one, other in zip(wanted, least, strict=True)]
    room = width - sum(low)
    if room <= 0:
        # More codes than a sheet is wide: all columns give way, and codes break; but none to less than its padding.
        kept = [min(one, _LEAST, width / len(low)) for one in low]
        over = sum(low) - sum(kept)
        return [one + (width - sum(kept)) * (wide - one) / over for one, wide in zip(kept, low, strict=True)]
    more = [one - other for one, other in zip(wanted, low, strict=True)]
    return [one + room * extra / sum(more) for one, extra in zip(low, more, strict=True)]


def _wide(setter: Setter, words: str, font: str) -> float:
    return sum(
        setter.width(part, MONO if is_code and font == RUNNING else font, _SIZE)
        for is_code, part in code_parts(words)
    )
