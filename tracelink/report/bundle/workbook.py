"""The tables of a bundle as one workbook, a sheet each.

Every text is written as text: a cell that begins with = + - or @ is what was recorded, never a formula. The workbook
is packed anew without times and without compression, so that the same tables give the same bytes.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable
from typing import Any

from tracelink.report.bundle.table import BundleTable
from tracelink.report.bundle.verify_bundle import pack_zip
from tracelink.report.format.plain import visible

_SHEET_NAME = 31
"""The most characters that a spreadsheet program allows in the name of a sheet."""
_WIDEST = 60
_NARROWEST = 8
_LONGEST_CELL = 32767
_TIMES = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*")


def workbook(tables: Iterable[BundleTable], title: str, at: str) -> bytes:
    """Return the workbook.

    Args:
        tables: one sheet each, in order.
        title: its title among its properties.
        at: the time written as that of its making: when the last entry was recorded.
    """
    # It costs a tenth of a second, which only exports pay.
    from openpyxl import Workbook  # noqa: PLC0415

    book = Workbook(write_only=True)
    book.properties.title = title
    book.properties.creator = "runout"
    for each in tables:
        _sheet(book, each)
    out = io.BytesIO()
    book.save(out)
    with zipfile.ZipFile(out) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    core = "docProps/core.xml"
    parts[core] = _TIMES.sub(rb"\g<1>" + at.encode(), parts[core])
    return pack_zip(parts)


def _sheet(book: Any, table: BundleTable) -> None:
    from openpyxl.styles import Font  # noqa: PLC0415
    from openpyxl.utils import get_column_letter  # noqa: PLC0415

    sheet = book.create_sheet(table.key[:_SHEET_NAME])
    columns = table.grid.columns
    for place, column in enumerate(columns, 1):
        texts = [column.title, *(str(row[place - 1] or "") for row in table.grid.rows)]
        width = min(_WIDEST, max(_NARROWEST, *(len(each) for each in texts)) + 2)
        sheet.column_dimensions[get_column_letter(place)].width = width
    sheet.freeze_panes = "A2"
    if table.grid.rows:
        sheet.auto_filter.ref = f"A1:{get_column_letter(len(columns))}{len(table.grid.rows) + 1}"
    sheet.append([_cell(sheet, column.title, Font(bold=True)) for column in columns])
    for row in table.grid.rows:
        sheet.append([_cell(sheet, each) for each in row])


def _cell(sheet: Any, value: str | int | None, font: Any = None) -> Any:
    from openpyxl.cell import WriteOnlyCell  # noqa: PLC0415

    shown = visible(value)[:_LONGEST_CELL] if isinstance(value, str) else value
    cell = WriteOnlyCell(sheet, value=shown)
    if isinstance(value, str):
        # Without this a text that begins with = becomes a formula.
        cell.data_type = "s"
    if font is not None:
        cell.font = font
    return cell
