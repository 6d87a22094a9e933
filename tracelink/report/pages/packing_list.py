"""Packing lists and content lists as a PDF: totals and signatures first, then pallet by pallet, one line per carton.

The same list gives the same bytes: no date and no random name is in the file.
"""

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from reportlab.lib.pagesizes import A4
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from tracelink.facts.pack_list import CartonLine, OrderedLine, PackList
from tracelink.ledger.count_words import counted, grouped, signed
from tracelink.printing.lettering import FACE
from tracelink.printing.output import whole_file

_FONT = "DejaVuSansMono"
_SIZE = 8.0
_TITLE_SIZE = 14.0
_LEADING = 11.0
_LEFT = 40.0
_TOP = A4[1] - 45.0
_BOTTOM = 55.0
_LOT_CHARACTERS = 60
_LINE_CHARACTERS = 105
_SIGNED_BY = ("Packed by", "Driver", "Received by")
_OUTLINE = 0.2
"""Points of the outline that makes a line of the one font look bold."""

_FILLED, _FILLED_AND_OUTLINED = 0, 2
"""How text is painted (PDF 32000-1, table 106)."""


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of a sheet."""

    text: str
    bold: bool = False
    ruled: bool = False
    """True for the heads of the columns, which have a line below."""


_HEAD = _Line(f"{'Carton':<18}  {'Units':>5}  Lots (discs)", ruled=True)


def write_packlist(found: PackList, path: Path) -> None:
    """Write a list as a PDF, replacing what was there in one step.

    Raises:
        UsageError: the file cannot be written.
    """
    pages = list(_pages(list(_body(found))))
    with whole_file(path, found.title.lower()) as part:
        canvas = Canvas(str(part), pagesize=A4, invariant=1, pageCompression=1)
        canvas.setTitle(f"{found.title} {found.facts[0][1]}")
        canvas.setAuthor("runout")
        if _FONT not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(_FONT, str(FACE)))
        for number, lines in enumerate(pages, 1):
            _page(canvas, found, lines, f"page {number} of {len(pages)}")
        canvas.save()


def _page(canvas: Canvas, found: PackList, lines: list[_Line], numbered: str) -> None:
    canvas.setFont(_FONT, _TITLE_SIZE)
    canvas.drawString(_LEFT, _TOP, f"{found.title} {found.facts[0][1]}")
    canvas.setFont(_FONT, _SIZE)
    canvas.setLineWidth(_OUTLINE)
    y = _TOP - 2 * _LEADING
    for line in lines:
        mode = _FILLED_AND_OUTLINED if line.bold else _FILLED
        canvas.drawString(_LEFT, y, line.text, mode=mode)
        if line.ruled:
            canvas.line(_LEFT, y - 3, A4[0] - _LEFT, y - 3)
        y -= _LEADING
    foot = textwrap.shorten(found.head, _LINE_CHARACTERS)
    canvas.drawString(_LEFT, _BOTTOM - 2 * _LEADING, foot, mode=_FILLED)
    canvas.drawRightString(A4[0] - _LEFT, _BOTTOM - 3 * _LEADING, numbered)
    canvas.showPage()


def _pages(lines: list[_Line]) -> Iterator[list[_Line]]:
    """Divide the lines; the column heads stand on every page that has cartons, and no bold line stands last."""
    room = int((_TOP - 2 * _LEADING - _BOTTOM) // _LEADING)
    page: list[_Line] = []
    begun = False
    for line in lines:
        if len(page) == room:
            torn = [page.pop()] if page[-1].bold else []
            yield page
            page = [*([_HEAD] if begun else []), *torn]
        begun = begun or line == _HEAD
        page.append(line)
    yield page


def _body(found: PackList) -> Iterator[_Line]:
    for name, value in found.facts:
        if value:
            yield from _wrapped(f"{name + ':':<10}{value}", 10)
    yield _Line("")
    pallets = len({line.pallet for line in found.cartons if line.pallet})
    yield _Line(f"Total: {counted(pallets, 'pallet')}, {_amount(found.cartons)}", bold=True)
    for ordered in found.lines:
        yield from _wrapped(_ordered(ordered), 4)
    yield _Line("")
    for who in _SIGNED_BY:
        yield _Line(f"{who + ':':<14}______________________________    Date, time: ____________________")
        yield _Line("")
    yield _HEAD
    for pallet, cartons in groupby(found.cartons, key=lambda line: line.pallet):
        group = list(cartons)
        yield _Line(f"{'Pallet ' + pallet if pallet else 'No pallet'}: {_amount(group)}", bold=True)
        yield from _by_product(group)


def _amount(cartons: Sequence[CartonLine]) -> str:
    return f"{counted(len(cartons), 'carton')}, {counted(sum(line.units for line in cartons), 'unit')}"


def _by_product(cartons: list[CartonLine]) -> Iterator[_Line]:
    """The title once for the cartons of a product, then a line for each carton."""
    products: dict[tuple[str, str], list[CartonLine]] = {}
    for line in cartons:
        products.setdefault((line.catalogue_number, line.title), []).append(line)
    for (catalogue_number, title), group in products.items():
        yield from _wrapped(f"  {catalogue_number}  {title}: {_amount(group)}", 4)
        for line in group:
            yield from _carton(line)


def _ordered(line: OrderedLine) -> str:
    before = f", {grouped(line.sent)} sent before" if line.sent else ""
    return (
        f"Ordered: {grouped(line.ordered)} of {line.catalogue_number} {line.title}; {grouped(line.here)} here{before}: "
        f"{signed(line.difference)}"
    )


def _carton(line: CartonLine) -> Iterator[_Line]:
    """The lines of a carton: its lots are wrapped in their column."""
    lots = textwrap.wrap(", ".join(f"{lot} ({count})" for lot, count in line.lots), _LOT_CHARACTERS) or [""]
    state = "" if line.status in ("closed", "open") else f"  {line.status}"
    for place, lot in enumerate(lots):
        first = place == 0
        yield _Line(
            f"{line.sscc if first else '':<18}  {line.units if first else '':>5}  {lot}{state if first else ''}".rstrip()
        )
    if line.numbers:
        yield from _wrapped(f"{'':<20}Numbers {', '.join(line.numbers)}", 28)


def _wrapped(line: str, indent: int) -> Iterable[_Line]:
    return [
        _Line(part)
        for part in textwrap.wrap(
            line,
            _LINE_CHARACTERS,
            subsequent_indent=" " * indent,
            drop_whitespace=False,
            replace_whitespace=False,
        )
    ]
