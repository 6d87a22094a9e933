"""How large a symbol must be, and how a size in millimetres becomes whole dots of a printer.

A bar must be a whole number of dots wide: 0.33 mm at 300 dpi is 3.9 dots, and a picture that rounds each bar for
itself has bars of 3 and 4 dots for the same width. So the module is rounded once, and everything follows from it.
"""

import math
from dataclasses import dataclass, replace

from tracelink.errors import UsageError

MM_PER_INCH = 25.4
TOLERANCE_MM = 1e-6


@dataclass(frozen=True, slots=True)
class SizeRule:
    """What a standard asks of one kind of symbol."""

    symbol: str
    """Its name in a sentence."""
    quiet_left: int
    """White margin in front of the first bar, in modules."""
    quiet_right: int
    """White margin behind the last bar, in modules."""
    x_min_mm: float = 0.0
    """Narrowest module allowed; 0 where the standard leaves it to the user."""
    x_max_mm: float = math.inf
    """Widest module allowed."""
    height_min_mm: float = 0.0
    """Lowest bars allowed; 0 where the standard leaves it to the user."""
    is_matrix: bool = False
    """True if it has square modules in rows and columns, and its quiet zone on four sides."""


CODE_128 = SizeRule("Code 128", 10, 10)
"""Source: ISO/IEC 15417:2007, 4.4.2."""

EAN_13 = SizeRule("EAN-13", 11, 7, x_min_mm=0.264, x_max_mm=0.660, height_min_mm=18.28)
"""For retail. Source: GS1 Sweden, size guide, from the General Specifications."""

EAN_8 = SizeRule("EAN-8", 7, 7, x_min_mm=0.264, x_max_mm=0.660, height_min_mm=14.58)
"""For retail, of a GTIN-8. Source: as for EAN-13."""

GS1_128 = SizeRule("GS1-128", 10, 10, x_min_mm=0.495, x_max_mm=1.016, height_min_mm=31.75)
"""For general distribution. Source: GS1 Sweden, size guide, which gives 31.75 mm as the height to aim for; that it
is also the least on a logistic label is not checked against the original text."""

GS1_128_LOGISTIC = replace(GS1_128, x_max_mm=0.940)
"""On cartons and pallets, that is with the identifier 00 or 02. Its widest module is not checked against the table for
that use."""

DATA_MATRIX = SizeRule("Data Matrix", 1, 1, is_matrix=True)
"""Source: GS1 DataMatrix Guideline 2.5.1, section 1 (the quiet zone); the module is left to the user."""

GS1_DATA_MATRIX = SizeRule(
    "GS1 DataMatrix", 1, 1, x_min_mm=1.5 * EAN_13.x_min_mm, x_max_mm=1.5 * EAN_13.x_max_mm, is_matrix=True
)
"""On products. Source: General Specifications release 18, note to the symbol specification table: 1.5 times the
module allowed for linear symbols, here those of retail."""


def whole_dots(length_mm: float, dpi: int) -> int:
    """Return the number of dots nearest to a length, at least 1."""
    return max(1, round(length_mm * dpi / MM_PER_INCH))


def millimetres(dots: float, dpi: int) -> float:
    """Return the length of so many dots."""
    return dots * MM_PER_INCH / dpi


def module_dots(rule: SizeRule, x_mm: float, dpi: int) -> int:
    """Return the module in dots: nearest to x_mm, or one more or less where the nearest is outside the rule.

    Args:
        rule: the kind of symbol.
        x_mm: the module wished for.
        dpi: dots per inch of the printer.

    Raises:
        UsageError: x_mm is outside the rule, or no whole number of dots near it is inside.
    """
    allowed = f"{rule.x_min_mm:.3f} to {rule.x_max_mm:.3f} mm"
    if not max(rule.x_min_mm, TOLERANCE_MM) <= x_mm <= rule.x_max_mm:
        raise UsageError(f"The module of {rule.symbol} must be {allowed} wide, found {x_mm} mm.")
    dots = whole_dots(x_mm, dpi)
    if millimetres(dots, dpi) < rule.x_min_mm - TOLERANCE_MM:
        dots += 1
    if millimetres(dots, dpi) > rule.x_max_mm + TOLERANCE_MM and dots > 1:
        dots -= 1
    if not rule.x_min_mm - TOLERANCE_MM <= millimetres(dots, dpi) <= rule.x_max_mm + TOLERANCE_MM:
        raise UsageError(
            f"{rule.symbol} cannot be printed at {dpi} dpi: its module must be {allowed} wide, and {dots} dots are "
            f"{millimetres(dots, dpi):.3f} mm."
        )
    return dots


def bar_dots(rule: SizeRule, height_mm: float, dpi: int) -> int:
    """Return the height of the bars in dots, rounded up so that it is not below the height asked for.

    Raises:
        UsageError: height_mm is below the rule's minimum, or not above 0.
    """
    if height_mm <= 0 or height_mm < rule.height_min_mm:
        least = rule.height_min_mm or "more than 0"
        raise UsageError(f"The bars of {rule.symbol} must be at least {least} mm high, found {height_mm} mm.")
    return math.ceil(height_mm * dpi / MM_PER_INCH - TOLERANCE_MM)
