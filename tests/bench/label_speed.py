"""How many labels a second are drawn and proven, next to bare library calls in the same run.

Run by hand: python tests/bench/label_speed.py [LABELS]
For each layout, at 203 and 300 dpi, with LABELS of each (60 unless told otherwise), in processor time of one core:

- alone: each label made, drawn, measured and read back whole, as one label is;
- batch: labels with numbers of their own made, drawn and proven as those of a batch are, the first of them whole;
- bare: the least that could be done with the libraries alone for one symbol of the label. Draw it, read it once with
  zbar (if it has bars) and once with zxing-cpp; no label round it, no text, no measuring, no second look.

Prints labels a second, and how many times the bare calls are faster than a batch.
"""

import statistics
import sys
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import zxingcpp
from barcode.codex import Code128, Gs1_128
from barcode.ean import EuropeanArticleNumber13
from barcode.writer import ImageWriter
from PIL import Image
from pyzbar import pyzbar

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tracelink.identity.gs1.elements import write_elements
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import PlantCode
from tracelink.printing.batch_proof import BatchProof
from tracelink.printing.fields import FieldKind, fill, read_fields
from tracelink.printing.label import make_label
from tracelink.printing.layout import LabelLayout, SymbolKind, layout_names, load_layout
from tracelink.printing.placing import filled_elements

FORMATS = zxingcpp.BarcodeFormats(
    [zxingcpp.BarcodeFormat.Code128, zxingcpp.BarcodeFormat.EAN13, zxingcpp.BarcodeFormat.DataMatrix]
)
LINEAR = [pyzbar.ZBarSymbol.CODE128, pyzbar.ZBarSymbol.EAN13]


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    print(f"{'layout':<18} {'dpi':>4} {'mm':>9} {'alone/s':>8} {'batch/s':>8} {'bare/s':>8} {'ratio':>6}")
    for dpi in (203, 300):
        for name in layout_names():
            layout = load_layout(name)
            alone = _rate(lambda _: make_label(layout, layout.example, dpi).proven(), count)  # noqa: B023
            batch = batch_rate(layout, dpi, count)
            bare = bare_rate(layout, dpi, count)
            size = f"{layout.width_mm:g}x{layout.height_mm:g}"
            note = "" if _bare(layout, dpi) else "  the bare symbol is not read by both"
            rates = f"{alone:>8.0f} {batch:>8.0f} {bare:>8.0f} {bare / batch:>6.1f}"
            print(f"{name:<18} {dpi:>4} {size:>9} {rates}{note}")


def _rate(do: Callable[[int], object], count: int) -> float:
    """Return how often a second: the median of five parts of the run, which a busy machine sways less."""
    do(0)
    part = max(1, count // 5)
    rates = []
    for first in range(1, 5 * part, part):
        begun = time.process_time()
        for number in range(first, first + part):
            do(number)
        rates.append(part / (time.process_time() - begun))
    return statistics.median(rates)


def batch_rate(layout: LabelLayout, dpi: int, count: int) -> float:
    """Return the rate of a whole batch, the first label of every arrangement read whole with it."""
    batch = BatchProof()
    begun = time.process_time()
    for number in range(1, count + 1):
        batch.proven(make_label(layout, _numbered(layout, number), dpi))
    return count / (time.process_time() - begun)


def bare_rate(layout: LabelLayout, dpi: int, count: int) -> float:
    """Return the rate of the bare calls."""
    return _rate(lambda _: _bare(layout, dpi), count)


def _numbered(layout: LabelLayout, number: int) -> dict[str, str]:
    """Return the example with SSCCs and codes of its own; a lot, as on one pallet, stays."""
    data = dict(layout.example)
    for field in layout.fields.values():
        if field.kind is FieldKind.SSCC:
            data[field.name] = Sscc.build("1", "9520000", number).digits
        if field.kind is FieldKind.PLANT_CODE and field.name == "code":
            data[field.name] = PlantCode.build(PlantCode.parse(data[field.name]).kind, number).text
    return data


def _bare(layout: LabelLayout, dpi: int) -> bool:
    """Draw a label's first symbol with the libraries alone; return whether it is read."""
    part = layout.symbols[0]
    values = read_fields(layout.fields, layout.example, layout.name)
    if part.kind in {SymbolKind.DATA_MATRIX, SymbolKind.GS1_DATA_MATRIX}:
        gs1 = part.kind is SymbolKind.GS1_DATA_MATRIX
        pairs = filled_elements(part, values) if gs1 else []
        content = "".join(f"({ai}){value}" for ai, value in pairs) or fill(part.data, values)
        drawn = zxingcpp.create_barcode(content, zxingcpp.BarcodeFormat.DataMatrix, gs1=gs1)
        image = Image.fromarray(drawn.to_image(scale=max(1, round(part.x_mm * dpi / 25.4))))
        return bool(zxingcpp.read_barcodes(image, formats=FORMATS, try_downscale=False))
    image = _bare_bars(layout, values, dpi)
    by_zbar = pyzbar.decode(image, symbols=LINEAR)
    return bool(by_zbar) & bool(zxingcpp.read_barcodes(image, formats=FORMATS, try_downscale=False))


def _bare_bars(layout: LabelLayout, values: dict[str, str], dpi: int) -> Image.Image:
    part = layout.symbols[0]
    writer = ImageWriter(mode="L", dpi=dpi)
    if part.kind is SymbolKind.GS1_128:
        drawn = Gs1_128(write_elements(filled_elements(part, values)).replace("\x1d", "\xf1"), writer)
    elif part.kind is SymbolKind.EAN_13:
        drawn = EuropeanArticleNumber13(fill(part.data, values)[:12], writer)
    else:
        drawn = Code128(fill(part.data, values), writer)
    module = max(1, round(part.x_mm * dpi / 25.4)) * 25.4 / dpi
    options = {"module_width": module, "module_height": part.height_mm, "quiet_zone": 10 * module}
    to = BytesIO()
    drawn.write(to, {**options, "write_text": False, "format": "BMP"})
    return Image.open(to)


if __name__ == "__main__":
    main()
