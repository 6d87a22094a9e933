"""Labels in pictures, measured: what each reader reads, module, bar height, quiet zones, an indicative grade.

The readers say where a symbol is; along its bars the picture is then straightened out and everything is measured
in it, whatever way the label was held. Pixels are taken for reflectance by the transfer function of sRGB, as cameras and
scanners write them.
"""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image

from tracelink.devices.images import SymbolRead, grey, read_each
from tracelink.printing import sizes
from tracelink.printing.grade import SCAN_LINES, Decoder, Parameters, elements_of, mean_grade, measured
from tracelink.printing.reference import decode_code128, decode_ean8, decode_ean13
from tracelink.printing.sizes import SizeRule
from tracelink.printing.straight import Straight, straightened

_RULES: dict[str, SizeRule] = {
    "]C0": sizes.CODE_128,
    "]C1": sizes.GS1_128,
    "]E0": sizes.EAN_13,
    "]E4": sizes.EAN_8,
    "]d1": sizes.DATA_MATRIX,
    "]d2": sizes.GS1_DATA_MATRIX,
}
_DECODERS: dict[str, Decoder] = {
    "]C0": decode_code128,
    "]C1": decode_code128,
    "]E0": decode_ean13,
    "]E4": decode_ean8,
}
"""How the plain way of its standard reads a linear symbol; of an ITF-14 only what it says is told."""
_QUIET_OF_OTHERS = 10
"""Modules looked at beside a symbol whose rule is not known."""

_FIRST_ROWS = 0.03
"""Share of a matrix's height that is within its first row of modules: it has up to 32 on the labels of this plant."""

_SMALLEST_MATRIX, _LARGEST_MATRIX = 8, 144
"""Modules. Source: ISO/IEC 16022."""


@dataclass(frozen=True, slots=True)
class InspectedSymbol:
    """One symbol of a picture."""

    line: str
    """What a scanner would have sent, as zxing-cpp reads it."""
    rule: SizeRule | None
    """What its standard asks; None for one that this plant does not print."""
    agreed: bool | None
    """True if zbar reads the same; None for a symbol it cannot read."""
    module: float | None
    """Width of the narrowest bar or side of a module, in pixels; None if it cannot be measured."""
    height: int
    """Height of the bars, or of the matrix, in pixels."""
    quiet: tuple[float, ...]
    """White round it, in modules: before and behind; of a matrix also above and below. At most what was looked at."""
    scans: tuple[Parameters, ...]
    """Ten scan lines of a linear symbol; none for a matrix."""

    @property
    def grade(self) -> float | None:
        """Mean of the scan lines; None for a matrix."""
        return mean_grade([scan.grade for scan in self.scans]) if self.scans else None


@dataclass(frozen=True, slots=True)
class Inspection:
    """A picture."""

    symbols: tuple[InspectedSymbol, ...]
    """As zxing-cpp read them."""
    zbar_alone: tuple[str, ...]
    """Contents that only zbar read."""


def inspect(image: Image.Image) -> Inspection:
    """Read and measure the symbols in a picture.

    Args:
        image: any Pillow image.

    Raises:
        UsageError: zbar is missing.
    """
    reads, by_zbar = read_each(image)
    flat = grey(image)
    symbols = tuple(_inspected(flat, read, by_zbar) for read in reads)
    known = {(read.family, read.content) for read in reads}
    alone = sorted(content.decode("utf-8", "backslashreplace") for _, content in by_zbar - known)
    return Inspection(symbols, tuple(alone))


def _inspected(flat: Image.Image, read: SymbolRead, by_zbar: set[tuple[str, bytes]]) -> InspectedSymbol:
    straight = straightened(flat, read.corners)
    decode = _DECODERS.get(read.identifier)
    if decode is None and not read.identifier.startswith("]d"):
        # Symbols of others: nothing here knows how their bars or modules are measured.
        agreed = None if read.family is None else (read.family, read.content) in by_zbar
        return InspectedSymbol(read.line, None, agreed, None, straight.high, (), ())
    if decode is None:
        module, quiet = _matrix(straight)
        return InspectedSymbol(read.line, _RULES.get(read.identifier), None, module, straight.high, quiet, ())
    lean = straight.lean()
    upright = straightened(flat, read.corners, lean) if lean else straight
    return _linear(upright, read, decode, agreed=(read.family, read.content) in by_zbar)


def _linear(straight: Straight, read: SymbolRead, decode: Decoder, *, agreed: bool) -> InspectedSymbol:
    rule = _RULES.get(read.identifier)
    left, right = (rule.quiet_left, rule.quiet_right) if rule else (_QUIET_OF_OTHERS, _QUIET_OF_OTHERS)
    first, last = straight.bar_rows()
    # A tenth above and below is left out, as the standard has it.
    rows = [
        first + round((last - first) * (0.1 + 0.8 * number / (SCAN_LINES - 1)))
        for number in range(SCAN_LINES)
    ]
    modules = [module for row in rows if (module := _module(straight.profile(row, 0), decode)) is not None]
    if not modules:
        scans = tuple(measured(straight.profile(row, 0), decode) for row in rows)
        return InspectedSymbol(read.line, rule, agreed, None, last - first + 1, (), scans)
    module = statistics.median(modules)
    furthest = round(1.5 * max(left, right) * module)
    looked_at = [straight.white_beside(row, furthest, round(1.5 * module)) for row in rows]
    quiet = tuple(min(white[side] for white in looked_at) / module for side in (0, 1))
    scans = tuple(measured(straight.profile(row, left * module, right * module), decode) for row in rows)
    return InspectedSymbol(read.line, rule, agreed, module, last - first + 1, quiet, scans)


def _module(profile: Sequence[float], decode: Decoder) -> float | None:
    bars = [element for element in elements_of(profile) if element.is_bar]
    if not bars:
        return None
    inner = [element for element in elements_of(profile) if bars[0].start <= element.start <= bars[-1].start]
    decoded = decode([element.width for element in inner])
    return None if decoded is None else (bars[-1].end - bars[0].start) / decoded.modules


def _matrix(straight: Straight) -> tuple[float | None, tuple[float, ...]]:
    """Measure a Data Matrix by the dashed line along its upper edge: one dark, one light module by turns."""
    # Rows that lie well inside the uppermost modules, however many the symbol has.
    rows = range(1, max(2, round(_FIRST_ROWS * straight.high)) + 1)
    bars = [sum(element.is_bar for element in elements_of(straight.profile(row, 0))) for row in rows]
    modules = 2 * round(statistics.median(bars))
    if not _SMALLEST_MATRIX <= modules <= _LARGEST_MATRIX:
        return None, ()
    module = straight.wide / modules
    return module, tuple(
        white / module for white in straight.white_round(round(3 * module), round(module / 4))
    )
