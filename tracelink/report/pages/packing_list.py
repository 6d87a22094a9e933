"""Packing lists and content lists as a PDF: black on white, one line per carton, totals that add up.

The same list gives the same bytes: no date and no random name is in the file.
"""

import textwrap
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from reportlab.lib.pagesizes import A4
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from tracelink.facts.pack_list import CartonLine, OrderedLine, PackList
from tracelink.ledger.count_words import signed
from tracelink.printing.lettering import FACE
from tracelink.printing.output import whole_file

_FONT = "DejaVuSansMono"
_SIZE = 8.0
_TITLE_SIZE = 14.0
_LEADING = 11.0
_LEFT = 40.0
_TOP = A4[1] - 45.0
_BOTTOM = 55.0
_TITLE_CHARACTERS = 34
_LOT_CHARACTERS = 30
_LINE_CHARACTERS = 105

_HEAD = f"{'Carton':<18}  {'Cat. no.':<12}  {'Title':<{_TITLE_CHARACTERS}}  {'Units':>5}  Lots (discs)"


def write_packlist(found: PackList, path: Path) -> None:
    """Write a list as a PDF, replacing what was there in one step.

    Raises:
        UsageError: the file cannot be written.
    """
    pages = list(_pages(list(_body(found))))
    with whole_file(path, found.title.lower()) as part:
        canvas = Canvas(str(part), pagesize=A4, invariant=1, pageCompression=1)
        canvas.setTitle(f"{found.title} {found.facts[0][1]}")
        if _FONT not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(_FONT, str(FACE)))
        for number, lines in enumerate(pages, 1):
            _page(canvas, found, lines, f"page {number} of {len(pages)}")
        canvas.save()


def _page(canvas: Canvas, found: PackList, lines: list[str], numbered: str) -> None:
    canvas.setFont(_FONT, _TITLE_SIZE)
    canvas.drawString(_LEFT, _TOP, f"{found.title} {found.facts[0][1]}")
    canvas.setFont(_FONT, _SIZE)
    y = _TOP - 2 * _LEADING
    for line in lines:
        canvas.drawString(_LEFT, y, line)
        if line == _HEAD:
            canvas.setLineWidth(0.5)
            canvas.line(_LEFT, y - 3, A4[0] - _LEFT, y - 3)
        y -= _LEADING
    canvas.drawString(_LEFT, _BOTTOM - 2 * _LEADING, textwrap.shorten(found.head, _LINE_CHARACTERS))
    canvas.drawRightString(A4[0] - _LEFT, _BOTTOM - 3 * _LEADING, numbered)
    canvas.showPage()


def _pages(lines: list[str]) -> Iterator[list[str]]:
    """Divide the lines; the column heads stand on every page that has cartons."""
    room = int((_TOP - 2 * _LEADING - _BOTTOM) // _LEADING)
    page: list[str] = []
    begun = False
    for line in lines:
        if len(page) == room:
            yield page
            page = [_HEAD] if begun else []
        begun = begun or line == _HEAD
        page.append(line)
    yield page


def _body(found: PackList) -> Iterator[str]:
    for name, value in found.facts:
        if value:
            yield from _wrapped(f"{name + ':':<10}{value}", 10)
    yield ""
    yield _HEAD
    for pallet, cartons in groupby(found.cartons, key=lambda line: line.pallet):
        group = list(cartons)
        units = sum(line.units for line in group)
        yield f"{'Pallet ' + pallet if pallet else 'No pallet'}: {len(group)} cartons, {units} units"
        for line in group:
            yield from _carton(line)
    yield ""
    pallets = len({line.pallet for line in found.cartons if line.pallet})
    units = sum(line.units for line in found.cartons)
    yield f"Total: {pallets} pallets, {len(found.cartons)} cartons, {units} units"
    for ordered in found.lines:
        yield from _wrapped(_ordered(ordered), 4)
    yield ""
    yield "Checked by: ______________________________    Date: ______________"


def _ordered(line: OrderedLine) -> str:
    before = f", {line.sent} sent before" if line.sent else ""
    return (
        f"Ordered: {line.ordered} of {line.catalogue_number} {line.title}; {line.here} here{before}: "
        f"{signed(line.difference)}"
    )


def _carton(line: CartonLine) -> Iterator[str]:
    """The lines of a carton: titles and lots are wrapped in their columns."""
    titles = textwrap.wrap(line.title, _TITLE_CHARACTERS) or [""]
    lots = textwrap.wrap(", ".join(f"{lot} ({count})" for lot, count in line.lots), _LOT_CHARACTERS) or [""]
    state = "" if line.status in ("closed", "open") else f"  {line.status}"
    for place in range(max(len(titles), len(lots))):
        title = titles[place] if place < len(titles) else ""
        lot = lots[place] if place < len(lots) else ""
        first = place == 0
        yield (
            f"{line.sscc if first else '':<18}  {line.catalogue_number[:12] if first else '':<12}  "
            f"{title:<{_TITLE_CHARACTERS}}  {line.units if first else '':>5}  {lot}{state if first else ''}"
        ).rstrip()
    if line.numbers:
        yield from _wrapped(f"{'':<20}Numbers {', '.join(line.numbers)}", 28)


def _wrapped(line: str, indent: int) -> list[str]:
    return textwrap.wrap(
        line,
        _LINE_CHARACTERS,
        subsequent_indent=" " * indent,
        drop_whitespace=False,
        replace_whitespace=False,
    )
