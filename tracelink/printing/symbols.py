"""Symbols as drawings: whole-dot modules, quiet zones, the text below.

python-barcode is asked for the pattern of bars only. Its own picture rounds every bar by itself and keeps options
from one symbol to the next. The modules of a Data Matrix come from zxing-cpp in the same way and are enlarged here.

Nothing drawn here is known to be right until it has been read back; see `proof`.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace

from barcode.codex import Code128, Gs1_128
from PIL import Image

from tracelink.errors import UsageError
from tracelink.identity.gs1.aitable import SEPARATOR
from tracelink.identity.gs1.elements import human_readable, write_elements
from tracelink.printing import sizes
from tracelink.printing.drawing import Bar, Drawing, Extent
from tracelink.printing.lettering import Lettering
from tracelink.printing.sizes import SizeRule, bar_dots, millimetres, module_dots, whole_dots

CAPTION_MM = 3.0
"""Height of the capitals and digits below a symbol."""

GS1_128_MAX_MM = 165.10
MAX_CHARACTERS = 48
"""Source: GS1 General Specifications release 18, 5.4.4.2 and 5.4.4.3: with quiet zones; AIs and separators count."""

LOGISTIC_AIS = frozenset({"00", "02"})
"""Identifiers that stand on cartons and pallets only."""

CAPTION_GAP_MM = 0.5
"""White between bars and the text below."""

_START_C = 105
_DATA_99 = 99
_FNC1 = "\xf1"


class _Code128(Code128):  # type: ignore[misc]  # the library ships no types
    """Code 128 that keeps two digits 99 at the front.

    The library shortens "start in C, switch" to the other start character, and takes the data pair 99 for a
    switch: 991234 would be drawn as 1234, with a check character that fits.
    """

    def _try_to_optimize(self, encoded: list[int]) -> list[int]:
        if encoded[:2] == [_START_C, _DATA_99]:
            return encoded
        return list(super()._try_to_optimize(encoded))


def draw_code128(text: str, dpi: int, x_mm: float, height_mm: float, *, caption: bool = True) -> Drawing:
    """Draw a plain Code 128.

    Args:
        text: 1 to 48 printable ASCII characters.
        dpi: dots per inch of the printer.
        x_mm: width of the narrowest bar; rounded to whole dots.
        height_mm: height of the bars.
        caption: whether to print the text below.

    Returns:
        A drawing, quiet zones and caption included.

    Raises:
        UsageError: text or a size cannot be printed.
    """
    if not (1 <= len(text) <= MAX_CHARACTERS and text.isascii() and text.isprintable()):
        raise UsageError(f"Code 128 on a label holds 1 to 48 printable ASCII characters, found {text!r}.")
    pattern = _Code128(text).build()[0]
    bars = bars_of(sizes.CODE_128, pattern, dpi, x_mm, height_mm)
    return _with_caption(bars, text, dpi) if caption else bars


def draw_gs1_128(
    pairs: Sequence[tuple[str, str]], dpi: int, x_mm: float, height_mm: float, *, caption: bool = True
) -> Drawing:
    """Draw a GS1-128.

    Args:
        pairs: application identifiers and values, at most 48 characters in all with separators.
        dpi: dots per inch of the printer.
        x_mm: width of the narrowest bar, 0.495 to 1.016, on cartons and pallets to 0.940; printed in whole dots
            within that range.
        height_mm: height of the bars, at least 31.75.
        caption: whether to print the elements below, identifiers in brackets.

    Returns:
        A drawing, quiet zones and caption included; at most 165.10 mm wide.

    Raises:
        IdentifierError: a pair is not an element string.
        UsageError: too many characters, or a size the standard does not allow.
    """
    content = write_elements(pairs)
    if len(content) > MAX_CHARACTERS:
        raise UsageError(
            f"A GS1-128 holds at most {MAX_CHARACTERS} characters; {human_readable(pairs)} has {len(content)}. "
            "Use two symbols."
        )
    pattern = Gs1_128(content.replace(SEPARATOR, _FNC1)).build()[0]
    logistic = any(ai in LOGISTIC_AIS for ai, _ in pairs)
    bars = bars_of(sizes.GS1_128_LOGISTIC if logistic else sizes.GS1_128, pattern, dpi, x_mm, height_mm)
    width_mm = millimetres(bars.width, dpi)
    if width_mm > GS1_128_MAX_MM:
        raise UsageError(
            f"A GS1-128 is at most {GS1_128_MAX_MM} mm wide; {human_readable(pairs)} takes {width_mm:.1f} mm at "
            f"{dpi} dpi. Use two symbols."
        )
    return _with_caption(bars, human_readable(pairs), dpi) if caption else bars


def draw_data_matrix_gs1(pairs: Sequence[tuple[str, str]], dpi: int, x_mm: float) -> Drawing:
    """Draw a square GS1 DataMatrix.

    Args:
        pairs: application identifiers and values.
        dpi: dots per inch of the printer.
        x_mm: side of one module, 0.396 to 0.990; printed in whole dots within that range.

    Returns:
        A drawing with the quiet zone on four sides.

    Raises:
        IdentifierError: a pair is not an element string.
        UsageError: a value cannot be handed to the symbol's writer, or the size is not allowed.
    """
    content = human_readable(pairs)
    if any("(" in value for _, value in pairs):
        # The writer takes elements in brackets only, and would split A(10)B in two elements.
        raise UsageError(f"A GS1 DataMatrix whose value holds '(' cannot be drawn; found {content}.")
    return _matrix(sizes.GS1_DATA_MATRIX, content, dpi, x_mm, gs1=True)


def draw_data_matrix(text: str, dpi: int, x_mm: float) -> Drawing:
    """Draw a square plain Data Matrix.

    Args:
        text: 1 to 48 printable ASCII characters.
        dpi: dots per inch of the printer.
        x_mm: side of one module; rounded to whole dots.

    Returns:
        A drawing with the quiet zone on four sides.

    Raises:
        UsageError: text or size cannot be printed.
    """
    if not (1 <= len(text) <= MAX_CHARACTERS and text.isascii() and text.isprintable()):
        raise UsageError(
            f"A Data Matrix on a label holds 1 to 48 printable ASCII characters, found {text!r}."
        )
    return _matrix(sizes.DATA_MATRIX, text, dpi, x_mm, gs1=False)


def bars_of(rule: SizeRule, pattern: str, dpi: int, x_mm: float, height_mm: float) -> Drawing:
    """Return a pattern of 1 (bar) and 0 (space) drawn with its quiet zones."""
    module, high = module_dots(rule, x_mm, dpi), bar_dots(rule, height_mm, dpi)
    left = rule.quiet_left * module
    bars = tuple(
        Bar(left + start * module, 0, length * module, high) for start, length in _black_runs(pattern)
    )
    wide = len(pattern) * module
    extent = Extent(rule, module, left, 0, wide, high)
    return Drawing(left + wide + rule.quiet_right * module, high, bars, symbol=extent)


def _black_runs(row: str) -> Iterator[tuple[int, int]]:
    """Yield (start, length) of each run of 1 in a row of modules."""
    start = 0
    for bit, run in itertools.groupby(row):
        length = len(list(run))
        if bit == "1":
            yield start, length
        start += length


def _with_caption(bars: Drawing, caption: str, dpi: int) -> Drawing:
    """Add a line of text, centred below the bars."""
    lettering = Lettering(CAPTION_MM, dpi)
    text_width = lettering.width(caption)
    wide = max(bars.width, text_width)
    top = bars.height + whole_dots(CAPTION_GAP_MM, dpi)
    shifted = _shifted(bars, (wide - bars.width) // 2)
    words = (lettering.words(caption, (wide - text_width) // 2, top),)
    return replace(shifted, width=wide, height=top + lettering.line_dots, words=words)


def _shifted(drawing: Drawing, right: int) -> Drawing:
    if not right or drawing.symbol is None:
        return drawing
    bars = tuple(replace(bar, left=bar.left + right) for bar in drawing.bars)
    return replace(drawing, bars=bars, symbol=replace(drawing.symbol, left=drawing.symbol.left + right))


def _matrix(rule: SizeRule, content: str, dpi: int, x_mm: float, *, gs1: bool) -> Drawing:
    import zxingcpp  # noqa: PLC0415  # 13 ms that only Data Matrix needs

    module = module_dots(rule, x_mm, dpi)
    symbol = zxingcpp.create_barcode(content, zxingcpp.BarcodeFormat.DataMatrix, gs1=gs1, force_square=True)
    pixels = Image.fromarray(symbol.to_image(scale=1, add_quiet_zones=False))
    dots, side = pixels.tobytes(), pixels.width
    rows = ["".join("0" if dot else "1" for dot in dots[at : at + side]) for at in range(0, len(dots), side)]
    quiet, side = rule.quiet_left * module, len(rows) * module
    bars = tuple(
        Bar(quiet + start * module, quiet + number * module, length * module, module)
        for number, row in enumerate(rows)
        for start, length in _black_runs(row)
    )
    extent = Extent(rule, module, quiet, quiet, side, side)
    return Drawing(side + 2 * quiet, side + 2 * quiet, bars, symbol=extent)
