"""A scope document as a workbook: a row a container and a row a consignee, to be sorted and filtered.

A spreadsheet takes a text that begins with one of `= + - @`, tab or carriage return for a formula when somebody
edits or re-imports it. Every text is therefore written as text (never as a formula), and one that begins so gets one
apostrophe in front, as in CSV. Control characters, which XLSX forbids, are shown by their numbers.

The same document gives the same bytes: times inside the file are the document's own.
"""

from __future__ import annotations

import zipfile
from datetime import datetime
from io import BytesIO
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import Cell as BookCell
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.utils import get_column_letter

from tracelink.report.format.plain import imprint
from tracelink.report.format.render import for_spreadsheet
from tracelink.report.scope.book import COUNT, BookSheet, Cell, book_sheets
from tracelink.report.scope.document import ScopeDocument

_WIDEST = 60
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)
"""The first moment that a ZIP can name; a fixed one, so that the same contents give the same file."""

_LONGEST = 32_767
"""Characters of a cell that a spreadsheet keeps (published limit of the format's main program, from memory)."""


def scope_workbook(document: ScopeDocument) -> bytes:
    """Return the workbook: summary, containers, consignees, tiers, identifiers, gaps and what belongs to them.

    Args:
        document: the facts.
    """
    book = Workbook()
    book.remove(book.active)
    for sheet in book_sheets(document):
        _write(book, sheet, document)
    moment = datetime.fromisoformat(document.imprint.printed_at).replace(tzinfo=None, microsecond=0)
    book.properties.created = book.properties.modified = moment
    book.properties.creator = "runout"
    book.properties.title = f"{document.trigger.kind} {document.trigger.cause}, version {document.version}"
    raw = BytesIO()
    book.save(raw)
    return _same_bytes(raw.getvalue(), moment)


def _write(book: Workbook, sheet: BookSheet, document: ScopeDocument) -> None:
    page = book.create_sheet(sheet.name)
    page.append([heading for heading, _ in sheet.columns])
    for number, row in enumerate(sheet.rows, 2):
        for place, (cell, (_, form)) in enumerate(zip(row, sheet.columns, strict=True), 1):
            _fill(page.cell(number, place), cell, form)
    for cell in page[1]:
        cell.font = Font(bold=True)
        cell.alignment = Alignment(wrap_text=True, vertical="bottom")
        cell.border = Border(bottom=Side("thin"))
    page.freeze_panes = "A2"
    page.auto_filter.ref = f"A1:{get_column_letter(len(sheet.columns))}{page.max_row}"
    for place in range(1, len(sheet.columns) + 1):
        lengths = [len(str(cell.value)) for cell in page[get_column_letter(place)] if cell.value is not None]
        page.column_dimensions[get_column_letter(place)].width = min(_WIDEST, 2 + max(lengths, default=8))
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = 1, 0
    page.sheet_properties.pageSetUpPr.fitToPage = True
    page.print_title_rows = "1:1"
    head = (document.imprint.head_seq, document.imprint.head_hash)
    # An ampersand begins a command in a footer; a doubled one is printed.
    page.oddFooter.left.text = imprint(head, document.imprint.printed_at).replace("&", "&&")
    page.oddFooter.right.text = "Sheet &P of &N"


def _fill(place: BookCell, cell: Cell, form: str) -> None:
    if cell is None:
        return
    if isinstance(cell, bool):
        cell = "yes" if cell else "no"
    if isinstance(cell, str):
        place.value = for_spreadsheet(cell)[:_LONGEST]
        # Set last: openpyxl takes a text that begins with = for a formula.
        place.data_type = "s"
        return
    place.value = cell
    place.number_format = form or COUNT


def _same_bytes(raw: bytes, moment: datetime) -> bytes:
    """Pack the parts again without the clock: openpyxl stamps each with the time of writing."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(raw)) as given, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name in given.namelist():
            part: Any = zipfile.ZipInfo(name, _ZIP_TIME)
            part.compress_type = zipfile.ZIP_DEFLATED
            data = given.read(name)
            if name == "docProps/core.xml":
                data = _modified(data, moment)
            made.writestr(part, data)
    return out.getvalue()


def _modified(data: bytes, moment: datetime) -> bytes:
    """Openpyxl writes the time of saving over the one it was given."""
    start, end = b'<dcterms:modified xsi:type="dcterms:W3CDTF">', b"</dcterms:modified>"
    before, found, rest = data.partition(start)
    _, closed, after = rest.partition(end)
    if not (found and closed):
        return data
    return before + start + f"{moment.isoformat()}Z".encode() + end + after
