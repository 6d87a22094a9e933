"""The symbols of retail as drawings: EAN-13 and EAN-8, with their digits below."""

from dataclasses import replace

from barcode.ean import EuropeanArticleNumber8, EuropeanArticleNumber13

from tracelink.errors import UsageError
from tracelink.identity.gs1.gtin import Gtin
from tracelink.printing import sizes
from tracelink.printing.drawing import Drawing
from tracelink.printing.lettering import Lettering
from tracelink.printing.sizes import SizeRule, whole_dots
from tracelink.printing.symbols import CAPTION_GAP_MM, CAPTION_MM, bars_of

_GUARD, _MIDDLE_GUARD, _EAN_DIGIT = 3, 5, 7
"""Modules of an EAN: guards at its ends and in the middle, and of a digit."""


def draw_ean(gtin13: str, dpi: int, x_mm: float, height_mm: float, *, caption: bool = True) -> Drawing:
    """Draw the EAN of a product: of a GTIN-8 an EAN-8, of any other an EAN-13; arguments and errors as for that one."""
    if len(gtin13) == 13 and (short := Gtin.parse(gtin13).gtin8) is not None:
        return draw_ean8(short, dpi, x_mm, height_mm, caption=caption)
    return draw_ean13(gtin13, dpi, x_mm, height_mm, caption=caption)


def draw_ean13(gtin13: str, dpi: int, x_mm: float, height_mm: float, *, caption: bool = True) -> Drawing:
    """Draw an EAN-13.

    Args:
        gtin13: 13 digits with the right check digit; a GTIN-12 with a zero in front.
        dpi: dots per inch of the printer.
        x_mm: width of the narrowest bar, 0.264 to 0.660; printed in whole dots within that range.
        height_mm: height of the bars, at least 18.28.
        caption: whether to print the digits below: one, six, six.

    Returns:
        A drawing, quiet zones and caption included.

    Raises:
        IdentifierError: gtin13 is not a GTIN.
        UsageError: it has not 13 digits, or a size is not allowed.
    """
    if len(gtin13) != 13:
        raise UsageError(f"EAN-13 needs 13 digits, found {gtin13!r}.")
    # The library replaces a wrong check digit without a word, so the number is judged first.
    digits = Gtin.parse(gtin13).gtin13
    pattern = EuropeanArticleNumber13(digits[:12]).build()[0]
    bars = bars_of(sizes.EAN_13, pattern, dpi, x_mm, height_mm)
    return (
        _with_ean_digits(bars, sizes.EAN_13, (digits[0], digits[1:7], digits[7:]), dpi) if caption else bars
    )


def draw_ean8(gtin8: str, dpi: int, x_mm: float, height_mm: float, *, caption: bool = True) -> Drawing:
    """Draw an EAN-8.

    Args:
        gtin8: 8 digits with the right check digit.
        dpi: dots per inch of the printer.
        x_mm: width of the narrowest bar, 0.264 to 0.660; printed in whole dots within that range.
        height_mm: height of the bars, at least 14.58.
        caption: whether to print the digits below: four and four.

    Returns:
        A drawing, quiet zones and caption included.

    Raises:
        IdentifierError: gtin8 is not a GTIN.
        UsageError: it has not 8 digits, or a size is not allowed.
    """
    if len(gtin8) != 8:
        raise UsageError(f"EAN-8 needs 8 digits, found {gtin8!r}.")
    Gtin.parse(gtin8)
    bars = bars_of(sizes.EAN_8, EuropeanArticleNumber8(gtin8[:7]).build()[0], dpi, x_mm, height_mm)
    return _with_ean_digits(bars, sizes.EAN_8, ("", gtin8[:4], gtin8[4:]), dpi) if caption else bars


def _with_ean_digits(bars: Drawing, rule: SizeRule, parts: tuple[str, str, str], dpi: int) -> Drawing:
    """Add the digits of an EAN below it.

    Args:
        bars: the symbol without its digits.
        rule: EAN-13 or EAN-8.
        parts: the digit below the left quiet zone, if there is one, and those below each half.
        dpi: dots per inch of the printer.
    """
    first, left, right = parts
    half = _EAN_DIGIT * len(left)
    modules = rule.quiet_left + 2 * (_GUARD + half) + _MIDDLE_GUARD + rule.quiet_right
    module = bars.width // modules
    # The digits may take the modules of their half less one on each side.
    largest_mm = CAPTION_MM * (half - 2) * module / Lettering(CAPTION_MM, dpi).width("0" * len(left))
    lettering = Lettering(min(CAPTION_MM, largest_mm), dpi)
    top = bars.height + whole_dots(CAPTION_GAP_MM, dpi)
    # Twice the middle of each part, in modules: halves have an odd number of digits or not.
    left_at = rule.quiet_left + _GUARD
    right_at = left_at + half + _MIDDLE_GUARD
    placed = ((first, 10), (left, 2 * left_at + half), (right, 2 * right_at + half))
    words = tuple(
        lettering.words(text, max(0, (twice * module - lettering.width(text)) // 2), top)
        for text, twice in placed
        if text
    )
    return replace(bars, height=top + lettering.line_dots, words=words)
