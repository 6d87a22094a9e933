"""Labels of an invented plant for the tests of devices and printing; the GS1 prefix 952 is reserved for examples."""

import itertools
import json
from pathlib import Path

from PIL import Image

from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.printing import ean_symbols, symbols


def code(letter, number):
    return PlantCode.build(CodeKind(letter), number).text


def picture_of(draw):
    """Return a function that draws with `draw` and gives the picture."""
    return lambda *given, **how: draw(*given, **how).image()


draw_code128 = picture_of(symbols.draw_code128)
draw_gs1_128 = picture_of(symbols.draw_gs1_128)
draw_ean13 = picture_of(ean_symbols.draw_ean13)
draw_ean8 = picture_of(ean_symbols.draw_ean8)
draw_data_matrix = picture_of(symbols.draw_data_matrix)
draw_data_matrix_gs1 = picture_of(symbols.draw_data_matrix_gs1)

GTIN = "952000001234" + gs1_check_digit("952000001234")
SHORT_GTIN = "9520012" + gs1_check_digit("9520012")
CARTON = Sscc.build("1", "9520000", 4711).digits
PALLET = Sscc.build("2", "9520000", 4711).digits

DATA = {
    "act-card": {"act": "CLOSE", "meaning": "Close the open carton"},
    "act-first": {"act": "STOP", "meaning": "Stop. Do what the screen says"},
    "act-row": {"act": "CLOSE", "meaning": "Close the open carton"},
    "badge": {"code": code("P", 17), "name": "Ida Example", "work": "packing"},
    "carton-label": {
        "sscc": CARTON,
        "gtin": GTIN,
        "count": "25",
        "lot": code("L", 123),
        "unit": "units",
        "title": "Paper Comet Arithmetic",
        "catalogue": "EX 101",
    },
    "carton-label-lots": {
        "sscc": CARTON,
        "gtin": GTIN,
        "count": "25",
        "unit": "units",
        "lots": f"{code('L', 123)}, {code('L', 124)}",
        "title": "Paper Comet Arithmetic",
        "catalogue": "EX 101",
    },
    "disc-label": {"gtin": GTIN, "piece": "1", "total": "2", "catalogue": "EX 101", "side": "A"},
    "lot-card": {
        "code": code("L", 123),
        "title": "Paper Comet Arithmetic",
        "catalogue": "EX 101",
        "disc": "disc 1 of 2",
        "press": "2",
        "ordered": "1500",
    },
    "numbered-sleeve": {"gtin": GTIN, "serial": "0042", "edition": "300"},
    "pallet-label": {
        "sscc": PALLET,
        "cartons": "24 cartons",
        "units": "600 units",
        "title": "Paper Comet Arithmetic",
        "catalogue": "EX 101",
        "from_plant": "Invented Pressing Works",
        "to": "Example Record Shop 14, Dock 3",
    },
    "pallet-number": {"sscc": PALLET, "from_plant": "Invented Pressing Works"},
    "part-lot-card": {"code": code("M", 7), "part": "EX-1001 revision 1"},
    "plant-code": {"code": code("C", 88), "what": "Black compound, silo 2"},
    "reason-row": {"code": code("R", 12), "text": "Corner crushed", "acts": "REJECT, CLOSE"},
    "reel-label": {"code": code("F", 12), "part": "EX-1001 revision 1"},
    "sample-tag": {
        "code": code("S", 905),
        "lot": code("L", 123),
        "stroke": "1240",
        "drawn": "2026-03-02 14:05 +01:00",
    },
    "serial-label": {"code": code("U", 101), "part": "EX-3900 turntable"},
    "sleeve-batch": {
        "code": code("B", 31),
        "gtin": GTIN,
        "title": "Paper Comet Arithmetic",
        "issue": "2",
        "count": "1600",
    },
    "sleeve-ean": {"gtin": GTIN, "catalogue": "EX 101"},
    "spindle-card": {"code": code("K", 1427)},
    "tool-tag": {"code": code("T", 64), "kind": "stamper", "matrix": "EX-101-A1 M2 S3"},
}
"""A value for every field of every layout that comes with the program."""


def vector(key):
    """Return one outside check value; an unknown id is a mistake in the test."""
    cases = json.loads((Path(__file__).parent / "vectors" / "symbols.json").read_text(encoding="utf-8"))
    return next(case for case in cases if case["id"] == key)


def runs(image, row):
    """Return the lengths of equal dots along a row of a 1-bit image, white first."""
    dots = [image.getpixel((column, row)) for column in range(image.width)]
    lengths = [(bool(value), len(list(group))) for value, group in itertools.groupby(dots)]
    assert lengths[0][0], "the row begins with black"
    return [length for _, length in lengths]


def on_paper(*images, across=False):
    """Put images on white paper with a margin round each, below each other or side by side."""
    gap = 40
    sizes = [(image.width + gap, image.height + gap) for image in images]
    wide, high = [width for width, _ in sizes], [height for _, height in sizes]
    paper = Image.new("L", (sum(wide), max(high)) if across else (max(wide), sum(high)), 255)
    left = top = gap // 2
    for image in images:
        paper.paste(image.convert("L"), (left, top))
        left, top = (left + image.width + gap, top) if across else (left, top + image.height + gap)
    return paper
