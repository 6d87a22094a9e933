"""A document of sections as a PDF: the same words, tables and pictures as the page, on sheets.

The same document gives the same bytes: reportlab's invariant mode leaves out the clock and random names, and the
fonts travel with the program (see pdf_text.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from io import BytesIO
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    KeepTogether,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    TableStyle,
)
from reportlab.platypus import Table as SheetTable

from tracelink.report.format import svg
from tracelink.report.format.document import (
    BigFigures,
    Block,
    Bullets,
    Document,
    FactList,
    FramedNote,
    Lines,
    Picture,
    Section,
    TextBlock,
    Ticks,
)
from tracelink.report.format.pdf_text import BOLD, RUNNING, Setter, width_of
from tracelink.report.format.sheet_parts import FOOT, MARGIN, SIZE, Bookmark, EmptyBox, numbered_canvas
from tracelink.report.format.svg_pdf import SvgFlowable
from tracelink.report.format.table import Table
from tracelink.report.format.table_pdf import sheet_table

_PADDING = 6.0
"""What reportlab keeps free inside the margins."""
_WIDTH = SIZE[0] - 2 * MARGIN - 2 * _PADDING
_TEXT_WIDTH = 190 * mm
"""Running text is not set wider: longer lines are hard to follow."""

# No line of a text stands alone at the top or the foot of a sheet.
_PLAIN = ParagraphStyle(
    "plain", fontName=RUNNING, fontSize=9, leading=12, spaceAfter=3, allowWidows=0, allowOrphans=0
)
_SMALL = ParagraphStyle("small", _PLAIN, fontSize=7.5, leading=10)
_TITLE = ParagraphStyle("title", _PLAIN, fontName=BOLD, fontSize=16, leading=20, spaceAfter=2)
_FIGURE = ParagraphStyle("figure", _PLAIN, fontName=BOLD, fontSize=20, leading=25, spaceAfter=0)
_HEADING = ParagraphStyle(
    "heading", _PLAIN, fontName=BOLD, fontSize=11.5, leading=15, spaceBefore=10, spaceAfter=5
)
_CAPTION = ParagraphStyle(
    "caption", _PLAIN, fontName=BOLD, fontSize=8, leading=11, spaceBefore=4, spaceAfter=1
)
_RUNNING = ParagraphStyle("running", _PLAIN, rightIndent=_WIDTH - _TEXT_WIDTH)
_BULLET = ParagraphStyle("bullet", _RUNNING, leftIndent=12, bulletIndent=2)
_BOLD = ParagraphStyle("bold", _PLAIN, fontName=BOLD)
_ROOM_FOR_HEADING = 14 * mm
_SHORT = 60 * mm
"""A table that is higher may go on on the next sheet."""
_TALLEST = SIZE[1] - MARGIN - FOOT - _ROOM_FOR_HEADING
"""A picture leaves room for the heading above it."""
_ROOM_FOR_TITLE = 38 * mm
"""Of a title of two lines, with what stands above and below it."""


def document_pdf(document: Document) -> bytes:
    """Return a document as a PDF, A4 landscape.

    Args:
        document: what it says.
    """
    maker = _Maker()
    body: list[Flowable] = []
    for section in document.sections:
        body += maker.section(section)
        maker.tallest = _TALLEST
    # Last, because only now it is known what could not be printed.
    story = [*maker.head(document), *body]
    out = BytesIO()
    template = SimpleDocTemplate(
        out,
        pagesize=SIZE,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=FOOT,
        invariant=1,
        title=document.title,
        author="runout",
        subject=document.kind,
        lang="en-GB",
    )
    template.build(story, canvasmaker=numbered_canvas(maker.setter.runs(document.footer, RUNNING)))
    return out.getvalue()


class _Maker:
    """Turns blocks into what flows over the sheets."""

    def __init__(self) -> None:
        self.setter = Setter()
        self.tallest = _TALLEST - _ROOM_FOR_TITLE
        """Of a picture. One that begins a document stands below its title: behind it the first sheet would be empty."""
        self._makers: dict[type, Callable[[Any], Iterator[Flowable]]] = {
            FactList: self._facts,
            BigFigures: self._figures,
            TextBlock: self._words,
            FramedNote: self._note,
            Bullets: self._bullets,
            Table: self._sheet,
            Picture: self._picture,
            Ticks: self._ticks,
            Lines: self._lines,
        }

    def head(self, document: Document) -> Iterator[Flowable]:
        yield self._paragraph(document.kind.upper(), _SMALL)
        yield self._paragraph(document.title, _TITLE)
        yield self._paragraph(document.imprint, _SMALL)
        sentence = self.setter.sentence()
        if sentence:
            # It names characters by the numbers that stand in their place, and not by those of a backslash.
            yield _frame(Paragraph(self.setter.markup(sentence, RUNNING, shown=True), _PLAIN), loud=False)

    def section(self, section: Section) -> Iterator[Flowable]:
        free, form = _form(section)
        body = [flowable for block in free for flowable in self._makers[type(block)](block)]
        if form:
            # What is ticked and what is signed stand on one sheet.
            body.append(KeepTogether([one for block in form for one in self._makers[type(block)](block)]))
        yield PageBreak() if section.fresh else CondPageBreak(_room(body) + _ROOM_FOR_HEADING)
        yield Bookmark(section.title)
        heading = SheetTable([[self._paragraph(section.title, _HEADING)]], colWidths=[_WIDTH])
        heading.setStyle(TableStyle([*_TIGHT, ("LINEBELOW", (0, 0), (-1, -1), 0.7, svg.INK)]))
        heading.spaceBefore, heading.spaceAfter = 12, 5
        yield heading
        yield from body

    def _paragraph(self, words: str, style: ParagraphStyle, **more: str) -> Paragraph:
        return Paragraph(self.setter.markup(words, style.fontName), style, **more)

    def _facts(self, block: FactList) -> Iterator[Flowable]:
        rows = [[self._paragraph(name, _BOLD), self._paragraph(value, _PLAIN)] for name, value in block.pairs]
        widest = max(width_of(self.setter.runs(name, BOLD), _BOLD.fontSize) for name, _ in block.pairs)
        first = min(widest + 12, _TEXT_WIDTH / 2)
        facts = SheetTable(rows, colWidths=[first, _TEXT_WIDTH - first], splitInRow=1, hAlign="LEFT")
        facts.setStyle(TableStyle([*_TIGHT, ("VALIGN", (0, 0), (-1, -1), "TOP")]))
        yield facts
        yield Spacer(0, 4)

    def _figures(self, block: BigFigures) -> Iterator[Flowable]:
        rows = [
            [self._paragraph(figure, _FIGURE) for figure, _ in block.figures],
            [self._paragraph(what, _SMALL) for _, what in block.figures],
        ]
        figures = SheetTable(rows, colWidths=[_WIDTH / len(block.figures)] * len(block.figures))
        figures.setStyle(TableStyle([*_TIGHT, ("VALIGN", (0, 0), (-1, -1), "TOP")]))
        yield figures
        yield Spacer(0, 8)

    def _words(self, block: TextBlock) -> Iterator[Flowable]:
        yield self._paragraph(block.text, _RUNNING)

    def _note(self, block: FramedNote) -> Iterator[Flowable]:
        yield _frame(self._paragraph(block.text, _BOLD if block.loud else _PLAIN), loud=block.loud)

    def _bullets(self, block: Bullets) -> Iterator[Flowable]:
        for item in block.items:
            yield self._paragraph(item, _BULLET, bulletText="•")

    def _sheet(self, table: Table) -> Iterator[Flowable]:
        if not table.rows:
            yield self._paragraph(f"{table.caption}: {table.otherwise}", _RUNNING)
            return
        sheet = sheet_table(table, self.setter, _WIDTH)
        yield CondPageBreak(_room([sheet]))
        yield self._paragraph(table.caption, _CAPTION)
        yield sheet
        yield Spacer(0, 6)

    def _picture(self, block: Picture) -> Iterator[Flowable]:
        yield SvgFlowable(block.svg, self.setter, self.tallest)
        yield Spacer(0, 6)

    def _ticks(self, block: Ticks) -> Iterator[Flowable]:
        style = ParagraphStyle("tick", _PLAIN, spaceAfter=0)
        items = [[EmptyBox(), self._paragraph(item, style)] for item in block.items]
        ticks = SheetTable(_side_by_side(items), colWidths=[16, _WIDTH / 2 - 16] * 2, hAlign="LEFT")
        ticks.setStyle(TableStyle([*_TIGHT, ("TOPPADDING", (0, 0), (-1, -1), 2)]))
        yield self._paragraph(block.title, _CAPTION)
        yield ticks
        yield Spacer(0, 5)

    def _lines(self, block: Lines) -> Iterator[Flowable]:
        rows = _side_by_side([[self._paragraph(name, _PLAIN), ""] for name in block.names])
        name, line = 48 * mm, _WIDTH / 2 - 52 * mm
        lines = SheetTable(rows, colWidths=[name, line, name, line], rowHeights=11 * mm, hAlign="LEFT")
        ruled = [(1, row) for row in range(len(rows))] + [(3, row) for row in range(len(block.names) // 2)]
        lines.setStyle(
            TableStyle(
                [
                    *_TIGHT,
                    ("LEFTPADDING", (2, 0), (2, -1), 8 * mm),
                    ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
                    *(("LINEBELOW", cell, cell, 0.7, svg.INK) for cell in ruled),
                ]
            )
        )
        yield lines


_TIGHT = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
]


def _side_by_side(rows: Sequence[list[Any]]) -> list[list[Any]]:
    """The rows in two columns, read down the first and then down the second."""
    half = -(-len(rows) // 2)
    empty = [""] * len(rows[0])
    return [row + (rows[half + at] if half + at < len(rows) else empty) for at, row in enumerate(rows[:half])]


def _frame(paragraph: Paragraph, *, loud: bool) -> SheetTable:
    """A paragraph that is not to be overlooked."""
    colour = HexColor(svg.ACCENT if loud else svg.INK)
    note = SheetTable([[paragraph]], colWidths=[_TEXT_WIDTH], hAlign="LEFT")
    note.setStyle(
        TableStyle(
            [
                ("BOX", (0, 0), (-1, -1), 0.7, colour),
                ("LINEBEFORE", (0, 0), (0, -1), 4, colour),
                ("LEFTPADDING", (0, 0), (-1, -1), 9),
                ("TOPPADDING", (0, 0), (-1, -1), 3),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
            ]
        )
    )
    note.spaceBefore, note.spaceAfter = 3, 5
    return note


def _form(section: Section) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """The blocks before the form of a section, and the form: from the first boxes to tick to the lines to sign."""
    if not any(isinstance(block, Lines) for block in section.blocks):
        return section.blocks, ()
    first = next(place for place, block in enumerate(section.blocks) if isinstance(block, Ticks | Lines))
    return section.blocks[:first], section.blocks[first:]


def _room(body: Sequence[Flowable]) -> float:
    """What must fit below a heading or a caption, or they go to the next sheet together.

    That is the first thing below it with its own caption; of a long table a few lines are enough.
    """
    height: float = _ROOM_FOR_HEADING
    for flowable in body:
        if isinstance(flowable, CondPageBreak):
            continue
        if isinstance(flowable, KeepTogether):
            # It sees to itself, and cannot be measured before it is drawn.
            height += _ROOM_FOR_HEADING
            break
        needed = float(flowable.wrap(_WIDTH, SIZE[1])[1])
        height += min(needed, _SHORT) if isinstance(flowable, SheetTable) else needed
        if not (isinstance(flowable, Paragraph) and flowable.style is _CAPTION):
            break
    return float(min(height, _TALLEST + _ROOM_FOR_HEADING))
