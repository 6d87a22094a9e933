"""What an inspected picture means in words: rows of measurements, and a sentence for everything not as it must be."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tracelink.identity.symbology import name_of
from tracelink.printing.grade import letter
from tracelink.printing.inspect import InspectedSymbol, Inspection
from tracelink.printing.sizes import TOLERANCE_MM, millimetres

LEAST_GRADE = 1.5
"""Source: GS1 General Specifications release 18, symbol specification table (1.5/10/660)."""

_QUIET_TOLERANCE = 0.25
"""Modules by which blur moves the edge of a quiet zone in a picture; common practice is a quarter."""

_SIZE_TOLERANCE = 0.02
"""Share by which a length in a picture may be off before it is called too short; a choice of this program."""

NOT_CALIBRATED = "Grades are indicative: measured in a picture by the parameters of ISO/IEC 15416:2000, not by a calibrated verifier."

Cell = str | float | int | None


@dataclass(frozen=True, slots=True)
class Checked:
    """A symbol with its measurements in words."""

    row: Mapping[str, Cell]
    """By the keys of `KEYS`."""
    findings: tuple[str, ...]
    """What is not as it must be."""


KEYS = (
    ("line", "reads"),
    ("symbology", "symbol"),
    ("readers", "readers"),
    ("module_dots", "module, dots"),
    ("module_mm", "module, mm"),
    ("height_dots", "height, dots"),
    ("height_mm", "height, mm"),
    ("quiet_before", "white before, modules"),
    ("quiet_behind", "white behind, modules"),
    ("grade", "grade"),
    ("letter", "letter"),
    ("rmax", "Rmax, %"),
    ("rmin", "Rmin, %"),
    ("contrast", "SC, %"),
    ("ec_min", "ECmin, %"),
    ("modulation", "MOD, %"),
    ("defects", "Defects, %"),
    ("decodability", "decodability, %"),
    ("lines_decoded", "lines decoded"),
    ("scan_grades", "grades of the lines"),
)
"""Keys of a row, with headings. Of the parameters each is the worst of the scan lines."""

_READERS = {True: "zxing-cpp and zbar", False: "zxing-cpp alone", None: "zxing-cpp, the one that can"}


def checked(inspection: Inspection, dpi: int | None) -> list[Checked]:
    """Return what was measured and found of each symbol.

    Args:
        inspection: of a picture.
        dpi: dots per inch of the picture; None if it is not known, as with a photograph. Lengths in millimetres are
            then not judged.
    """
    return [Checked(_row(symbol, dpi), tuple(_findings(symbol, dpi))) for symbol in inspection.symbols]


def _row(symbol: InspectedSymbol, dpi: int | None) -> dict[str, Cell]:
    grade = symbol.grade
    before, behind = (round(white, 1) for white in symbol.quiet[:2]) if symbol.quiet else (None, None)
    row: dict[str, Cell] = {
        "line": symbol.line,
        "symbology": name_of(symbol.line[:3]),
        "readers": _READERS[symbol.agreed],
        "module_dots": None if symbol.module is None else round(symbol.module, 2),
        "module_mm": _mm(symbol.module, dpi),
        "height_dots": symbol.height,
        "height_mm": _mm(symbol.height, dpi),
        "quiet_before": before,
        "quiet_behind": behind,
        "grade": grade,
        "letter": None if grade is None else letter(grade),
    }
    return row | _parameters(symbol)


def _parameters(symbol: InspectedSymbol) -> dict[str, Cell]:
    scans = symbol.scans
    if not scans:
        return dict.fromkeys([key for key, _ in KEYS[11:]])
    decoded = [scan.decodability for scan in scans if scan.decodability is not None]
    return {
        "rmax": round(min(scan.rmax for scan in scans), 1),
        "rmin": round(max(scan.rmin for scan in scans), 1),
        "contrast": round(min(scan.contrast for scan in scans), 1),
        "ec_min": round(min(scan.ec_min for scan in scans), 1),
        "modulation": round(min(scan.modulation for scan in scans), 1),
        "defects": round(max(scan.defects for scan in scans), 1),
        "decodability": round(min(decoded), 1) if decoded else None,
        "lines_decoded": len(decoded),
        "scan_grades": " ".join(str(scan.grade) for scan in scans),
    }


def _mm(pixels: float | None, dpi: int | None) -> float | None:
    return None if pixels is None or dpi is None else round(millimetres(pixels, dpi), 3)


def _findings(symbol: InspectedSymbol, dpi: int | None) -> Iterator[str]:
    if symbol.agreed is False:
        yield "zbar does not read the same: nothing that only one reader sees may be booked."
    rule = symbol.rule
    if rule is None:
        yield "a symbol of this kind is not printed here, so no size is known for it."
        return
    if symbol.module is None:
        yield "its module cannot be measured: the bars do not decode by their widths; take a sharper picture."
        return
    needed = (rule.quiet_left, rule.quiet_right, rule.quiet_left, rule.quiet_right)
    for side, white, least in zip(("before", "behind", "above", "below"), symbol.quiet, needed, strict=False):
        if white < least - _QUIET_TOLERANCE:
            yield f"expected {least} modules of white {side} it, found {white:.1f} in the picture."
    if dpi is not None:
        yield from _size_findings(symbol, symbol.module, dpi)
    if symbol.grade is not None and symbol.grade < LEAST_GRADE:
        yield f"expected a grade of {LEAST_GRADE} or more, found {symbol.grade}; worst: {_worst(symbol)}."


def _size_findings(symbol: InspectedSymbol, module: float, dpi: int) -> Iterator[str]:
    rule = symbol.rule
    assert rule is not None
    x_mm, height_mm = millimetres(module, dpi), millimetres(symbol.height, dpi)
    slack = 1 + _SIZE_TOLERANCE
    if not rule.x_min_mm / slack - TOLERANCE_MM <= x_mm <= rule.x_max_mm * slack + TOLERANCE_MM:
        yield f"expected a module of {rule.x_min_mm:.3f} to {rule.x_max_mm:.3f} mm, found {x_mm:.3f} mm."
    if not rule.is_matrix and height_mm * slack < rule.height_min_mm:
        yield f"expected bars of at least {rule.height_min_mm} mm, found {height_mm:.2f} mm."


def _worst(symbol: InspectedSymbol) -> str:
    """Return the parameters that have the lowest grade in any line."""
    lowest = min(scan.grade for scan in symbol.scans)
    names = {name for scan in symbol.scans for name, grade in scan.grades.items() if grade == lowest}
    return ", ".join(sorted(names))
