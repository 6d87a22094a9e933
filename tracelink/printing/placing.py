"""The parts of a label, drawn and put in their places; and the proof that none covers another."""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tracelink.errors import IdentifierError, UsageError
from tracelink.printing import symbols
from tracelink.printing.drawing import Bar, Drawing
from tracelink.printing.ean_symbols import draw_ean
from tracelink.printing.fields import fill
from tracelink.printing.layout import LabelLayout, SymbolKind, SymbolPart, TextPart
from tracelink.printing.lettering import Lettering, require_printable
from tracelink.printing.sizes import MM_PER_INCH, millimetres, whole_dots


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A part drawn and its place on the label, in dots."""

    name: str
    """Name for sentences."""
    drawing: Drawing
    """What it looks like, white space included."""
    left: int
    """First dot from the left."""
    top: int
    """First dot from the top."""

    @property
    def right(self) -> int:
        """First dot to its right."""
        return self.left + self.drawing.width

    @property
    def bottom(self) -> int:
        """First dot below it."""
        return self.top + self.drawing.height


def filled_elements(part: SymbolPart, values: Mapping[str, str]) -> list[tuple[str, str]]:
    """Return a symbol's application identifiers with their values."""
    return [(ai, fill(template, values)) for ai, template in part.elements]


def placed_parts(layout: LabelLayout, values: Mapping[str, str], dpi: int) -> list[PlacedPart]:
    """Draw every part of a label.

    Args:
        layout: the label.
        values: the texts of its fields, as `fields.read_fields` returns them.
        dpi: dots per inch of the printer.

    Raises:
        UsageError: a symbol or text cannot be drawn as asked.
    """
    parts = []
    for number, symbol in enumerate(layout.symbols, start=1):
        name = f"symbol {number} ({symbol.kind.value})"
        parts.append(_at(name, _symbol_drawing(layout.name, symbol, values, dpi), symbol.at_mm, dpi))
    for number, text in enumerate(layout.texts, start=1):
        name = f"text {number}"
        parts.append(
            _at(name, _text_drawing(f"Label {layout.name}, {name}", text, values, dpi), text.at_mm, dpi)
        )
    for number, line in enumerate(layout.lines, start=1):
        width, height = (whole_dots(side, dpi) for side in line.size_mm)
        bar = Drawing(width, height, (Bar(0, 0, width, height),))
        parts.append(_at(f"line {number}", bar, line.at_mm, dpi))
    return parts


def _at(name: str, drawing: Drawing, at_mm: tuple[float, float], dpi: int) -> PlacedPart:
    left, top = (round(millimetre * dpi / MM_PER_INCH) for millimetre in at_mm)
    return PlacedPart(name, drawing, left, top)


def _symbol_drawing(label: str, part: SymbolPart, values: Mapping[str, str], dpi: int) -> Drawing:
    try:
        if part.kind is SymbolKind.GS1_DATA_MATRIX:
            return symbols.draw_data_matrix_gs1(filled_elements(part, values), dpi, part.x_mm)
        if part.kind is SymbolKind.GS1_128:
            pairs = filled_elements(part, values)
            return symbols.draw_gs1_128(pairs, dpi, part.x_mm, part.height_mm, caption=part.caption)
        content = fill(part.data, values)
        if part.kind is SymbolKind.DATA_MATRIX:
            return symbols.draw_data_matrix(content, dpi, part.x_mm)
        if part.kind is SymbolKind.CODE_128:
            return symbols.draw_code128(content, dpi, part.x_mm, part.height_mm, caption=part.caption)
        return draw_ean(content, dpi, part.x_mm, part.height_mm, caption=part.caption)
    except (IdentifierError, UsageError) as error:
        raise UsageError(f"Label {label}: {str(error).removesuffix('.')}.") from error


def _text_drawing(place: str, part: TextPart, values: Mapping[str, str], dpi: int) -> Drawing:
    text = fill(part.text, values)
    require_printable(text, place)
    lettering = Lettering(part.letter_mm, dpi)
    room = whole_dots(part.width_mm, dpi)
    fitted = (lettering.shorten if part.may_shorten else lettering.wrap)(text, room, part.lines)
    if fitted is None:
        raise UsageError(
            f"{place}: {text!r} does not fit into {part.lines} line(s) of {part.width_mm:g} mm with letters of "
            f"{part.letter_mm:g} mm."
        )
    words = []
    for number, line in enumerate(fitted):
        spare = room - lettering.width(line)
        left = {"left": 0, "centre": spare // 2, "right": spare}[part.align]
        words.append(lettering.words(line, left, number * lettering.line_dots))
    return Drawing(room, part.lines * lettering.line_dots, words=tuple(words))


def require_room(label: str, width: int, height: int, parts: Sequence[PlacedPart], dpi: int) -> None:
    """Raise if a part reaches over the edge or two parts cover each other, quiet zones counted."""
    for part in parts:
        if part.right > width or part.bottom > height:
            raise UsageError(
                f"Label {label}: {part.name} reaches to {_mm(part.right, part.bottom, dpi)}, the label to "
                f"{_mm(width, height, dpi)}."
            )
    for one, other in itertools.combinations(parts, 2):
        beside = one.right <= other.left or other.right <= one.left
        if not beside and one.bottom > other.top and other.bottom > one.top:
            raise UsageError(
                f"Label {label}: {one.name} from {_mm(one.left, one.top, dpi)} to {_mm(one.right, one.bottom, dpi)} and "
                f"{other.name} from {_mm(other.left, other.top, dpi)} to {_mm(other.right, other.bottom, dpi)} "
                "cover each other."
            )


def _mm(left: int, top: int, dpi: int) -> str:
    return f"[{millimetres(left, dpi):.1f}, {millimetres(top, dpi):.1f}] mm"
