"""Tables as a workbook, a sheet each: sorted, filtered and printed by a person, evaluated by nobody.

Every text is written as text, so that a cell that begins with = + - or @ is what was recorded, never a formula. Numbers
are numbers and times are times. A spreadsheet's times know no offset from UTC: all times of a column are given in the
offset of its first one, which the heading names. Nothing in the file tells of its writing, so that the same tables
give the same bytes.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timezone
from typing import Any

from tracelink.ledger.time_words import instant
from tracelink.report.format.table import Cell, Column, Kind, Table
from tracelink.report.format.table_csv import for_spreadsheet

_ZIP_TIME = (1980, 1, 1, 0, 0, 0)
"""The first moment that a ZIP can name."""
_SHEET_NAME = 31
"""The most characters that a spreadsheet program allows in the name of a sheet."""
_LONGEST = 32_767
"""Characters of a cell that a spreadsheet keeps."""
_WIDEST = 60
_NARROWEST = 8
_TIME_WIDTH = 20
_FORMS = {
    Kind.NUMBER: "0",
    Kind.ENTRY: "0",
    Kind.COUNT: "#,##0",
    Kind.DIFFERENCE: "+#,##0;-#,##0;±0",
    Kind.SHARE: "0.0 %",
}
"""Number formats. The comma stands for whatever sets groups of three apart where the workbook is opened."""
_TIME_FORM = "yyyy-mm-dd hh:mm:ss"
_TIMES = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*")


@dataclass(frozen=True, slots=True)
class BookStamp:
    """What a workbook says about itself."""

    title: str
    """Its title among its properties."""
    at: str
    """The time of the records in it, RFC 3339; written as that of its making."""
    footer: str = ""
    """A line on every printed sheet."""


def workbook(tables: Iterable[Table], stamp: BookStamp, *, stored: bool = False) -> bytes:
    """Return the workbook.

    Args:
        tables: one sheet each, in order, without the lines that they add up to: a sheet is sorted and filtered.
        stamp: title, time and footer.
        stored: leave it uncompressed, so that its bytes do not depend on the library that compresses.
    """
    # It costs a tenth of a second, which only those who want a workbook pay.
    from openpyxl import Workbook  # noqa: PLC0415

    book = Workbook(write_only=True)
    book.properties.title = stamp.title
    book.properties.creator = "runout"
    for table in tables:
        _write(book, table, stamp.footer)
    raw = io.BytesIO()
    book.save(raw)
    return _repacked(raw.getvalue(), stamp.at, zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED)


def _write(book: Any, table: Table, footer: str) -> None:
    from openpyxl.utils import get_column_letter  # noqa: PLC0415  see workbook

    rows = table.rows
    offsets = [_offset(column, [row[place] for row in rows]) for place, column in enumerate(table.columns)]
    heads = [_heading(column, offset) for column, offset in zip(table.columns, offsets, strict=True)]
    sheet = book.create_sheet(table.key[:_SHEET_NAME])
    for place, head in enumerate(heads, 1):
        width = _width(head, [row[place - 1] for row in rows], is_time=offsets[place - 1] is not None)
        sheet.column_dimensions[get_column_letter(place)].width = width
    sheet.freeze_panes = "A2"
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(heads))}{len(rows) + 1}"
    _set_up_print(sheet, footer)
    sheet.append([_head_cell(sheet, head) for head in heads])
    for row in rows:
        sheet.append(
            [
                _cell(sheet, cell, column, offset)
                for cell, column, offset in zip(row, table.columns, offsets, strict=True)
            ]
        )


def _set_up_print(sheet: Any, footer: str) -> None:
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = "1:1"
    # An ampersand begins a command in a footer; a doubled one is printed.
    sheet.oddFooter.left.text = footer.replace("&", "&&")
    sheet.oddFooter.right.text = "Sheet &P of &N"


def _offset(column: Column, cells: Sequence[Cell]) -> timezone | None:
    """The offset from UTC in which the times of a column are written; None if it has none."""
    if column.kind is not Kind.TIME:
        return None
    times = (_time(cell) for cell in cells)
    first = next((time for time in times if time is not None), None)
    offset = None if first is None else first.utcoffset()
    return None if offset is None else timezone(offset)


def _time(cell: Cell) -> datetime | None:
    """The time that a cell tells, also as the only one of a list; None if it tells none or several."""
    if isinstance(cell, Sequence) and not isinstance(cell, str):
        cell = cell[0] if len(cell) == 1 else None
    return instant(cell) if isinstance(cell, str) else None


def _heading(column: Column, offset: timezone | None) -> str:
    return column.heading if offset is None else f"{column.heading} ({offset})"


def _width(head: str, cells: Iterable[Cell], *, is_time: bool) -> int:
    if is_time:
        return max(_TIME_WIDTH, len(head) + 2)
    lengths = [len(head), *(len(for_spreadsheet(cell)) for cell in cells)]
    return min(_WIDEST, max(_NARROWEST, *lengths) + 2)


def _head_cell(sheet: Any, head: str) -> Any:
    from openpyxl.styles import Alignment, Border, Font, Side  # noqa: PLC0415  see workbook

    cell = _text_cell(sheet, head)
    cell.font = Font(bold=True)
    cell.alignment = Alignment(wrap_text=True, vertical="bottom")
    cell.border = Border(bottom=Side("thin"))
    return cell


def _cell(sheet: Any, value: Cell, column: Column, offset: timezone | None) -> Any:
    if value is None or value == "":
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        time = None if offset is None else _time(value)
        return _text_cell(sheet, value) if time is None else _time_cell(sheet, time.astimezone(offset))
    from openpyxl.cell import WriteOnlyCell  # noqa: PLC0415  see workbook

    cell = WriteOnlyCell(sheet, value=value)
    cell.number_format = _FORMS.get(column.kind, "General")
    return cell


def _text_cell(sheet: Any, value: Cell) -> Any:
    from openpyxl.cell import WriteOnlyCell  # noqa: PLC0415  see workbook

    cell = WriteOnlyCell(sheet, value=for_spreadsheet(value)[:_LONGEST])
    # Set last: openpyxl takes a text that begins with = for a formula.
    cell.data_type = "s"
    return cell


def _time_cell(sheet: Any, time: datetime) -> Any:
    from openpyxl.cell import WriteOnlyCell  # noqa: PLC0415  see workbook

    # A spreadsheet counts days as a binary fraction, in which milliseconds do not come back as they went in.
    cell = WriteOnlyCell(sheet, value=time.replace(tzinfo=None, microsecond=0))
    cell.number_format = _TIME_FORM
    return cell


def _repacked(raw: bytes, at: str, compression: int) -> bytes:
    """Pack the parts again without the clock: openpyxl stamps each with the time of writing."""
    moment = instant(at)
    told = at if moment is None else f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as given, zipfile.ZipFile(out, "w", compression) as made:
        for name in sorted(given.namelist()):
            part = zipfile.ZipInfo(name, _ZIP_TIME)
            part.compress_type = compression
            # The same on every system that it is written on.
            part.create_system = 3
            data = given.read(name)
            if name == "docProps/core.xml":
                data = _TIMES.sub(rb"\g<1>" + told.encode(), data)
            made.writestr(part, data)
    return out.getvalue()
