"""Labels in pictures, measured: turned, greyed, blurred, damaged."""

import json

import pytest
import zxingcpp
from click.testing import CliRunner
from PIL import Image, ImageDraw, ImageFilter
from support_drawn import draw_label
from support_printing import (
    DATA,
    GTIN,
    SHORT_GTIN,
    code,
    draw_code128,
    draw_data_matrix,
    draw_ean8,
    draw_ean13,
    on_paper,
)

from tracelink.cli.label import label as command
from tracelink.devices import images
from tracelink.printing.checked import KEYS, checked
from tracelink.printing.inspect import inspect
from tracelink.printing.layout import layout_names, load_layout

TEXT = code("K", 1427)


def greyed(image, dark=40, light=225):
    return image.convert("L").point(lambda value: dark if value < 128 else light)


def one(image):
    inspection = inspect(image)
    (symbol,) = inspection.symbols
    assert not inspection.zbar_alone
    return symbol


def findings(image, dpi=None):
    return findings_of(inspect(image), dpi)


def findings_of(inspection, dpi=None):
    return [finding for symbol in checked(inspection, dpi) for finding in symbol.findings]


def plain():
    return on_paper(draw_code128(TEXT, 300, 0.33, 12, caption=False))


@pytest.mark.parametrize(
    ("name", "dpi"),
    [(name, 203) for name in layout_names()]
    + [(name, dpi) for name in ("sample-tag", "sleeve-ean", "tool-tag") for dpi in (300, 600)],
)
def test_a_label_measures_as_it_was_drawn(name, dpi):
    layout = load_layout(name)
    image = draw_label(layout, DATA[name], dpi)
    inspection = inspect(image)
    for symbol in inspection.symbols:
        assert symbol.agreed is (None if symbol.rule.is_matrix else True)
        assert symbol.module == round(symbol.module), "whole dots"
        assert all(white >= quiet for white, quiet in zip(symbol.quiet, _quiet(symbol.rule), strict=False))
        assert len(symbol.scans) == (0 if symbol.rule.is_matrix else 10)
        assert symbol.grade in {None, 4.0}
    assert findings_of(inspection, dpi) == []


def _quiet(rule):
    return (rule.quiet_left, rule.quiet_right, rule.quiet_left, rule.quiet_right)


@pytest.mark.parametrize("angle", [0, 2, 90, 180, 270, 272])
def test_a_turned_label_measures_the_same(angle):
    image = greyed(plain()).rotate(angle, expand=True, fillcolor=225, resample=Image.Resampling.BILINEAR)
    symbol = one(image)
    assert symbol.line == f"]C0{TEXT}"
    assert symbol.module == pytest.approx(4, abs=0.05)
    assert symbol.height == pytest.approx(142, abs=3 if angle % 90 == 0 else 12)
    assert min(symbol.quiet) >= 14
    assert symbol.grade >= 3


@pytest.mark.parametrize("angle", [0, 4, 90, 180, 270])
def test_a_turned_matrix_measures_the_same(angle):
    matrix = on_paper(draw_data_matrix(TEXT, 300, 0.75))
    image = greyed(matrix).rotate(angle, expand=True, fillcolor=225, resample=Image.Resampling.BICUBIC)
    symbol = one(image)
    assert (symbol.line, symbol.grade, symbol.scans) == (f"]d1{TEXT}", None, ())
    assert symbol.module == pytest.approx(9, abs=0.2)
    assert min(symbol.quiet) >= 2
    assert len(symbol.quiet) == 4


def test_reflectances_are_those_of_the_ink_and_paper():
    (scan, *_rest) = one(greyed(plain(), 60, 200)).scans
    assert scan.rmin == pytest.approx(4.52, abs=0.01), "grey 60 by the curve of sRGB"
    assert scan.rmax == pytest.approx(57.76, abs=0.01), "grey 200"


def test_faint_print_has_a_low_contrast():
    grades = [one(greyed(plain(), dark, 225)).grade for dark in (40, 110, 150, 180)]
    assert grades == sorted(grades, reverse=True)
    assert grades[0] == 4.0
    assert grades[-1] <= 1.0


def test_blur_lowers_the_grade():
    grades = [one(greyed(plain()).filter(ImageFilter.GaussianBlur(blur))).grade for blur in (0, 1, 1.5)]
    assert grades[0] == 4.0
    assert grades[0] > grades[1] > grades[2]


def test_a_scratch_through_some_lines_lowers_those_only():
    image = greyed(plain())
    ImageDraw.Draw(image).rectangle((0, 60, image.width, 64), fill=225)
    symbol = one(image)
    grades = [scan.grade for scan in symbol.scans]
    assert grades.count(0) <= 1
    assert grades.count(4) >= 9


def test_a_smudge_in_the_bars_is_a_defect():
    image = greyed(plain())
    left = 20 + 40
    # A grey spot in the widest space there is in the middle of the symbol.
    row = [image.getpixel((x, 80)) for x in range(image.width)]
    spaces = [x for x in range(left + 100, image.width - 160) if row[x : x + 12] == [225] * 12]
    ImageDraw.Draw(image).rectangle((spaces[0] + 4, 0, spaces[0] + 7, image.height), fill=190)
    symbol = one(image)
    assert max(scan.defects for scan in symbol.scans) > 20
    assert symbol.grade < 4


def test_ink_in_a_quiet_zone_is_found():
    image = plain()
    ImageDraw.Draw(image).line((20 + 15, 0, 20 + 15, image.height), fill=0, width=2)
    (found,) = findings(image)[:1]
    assert found.startswith("expected 10 modules of white before it, found 5.")


def test_a_label_cut_in_its_quiet_zone_is_found():
    image = plain()
    narrow = image.crop((20 + 40 - 4 * 4, 0, image.width, image.height))
    assert findings(narrow) == ["expected 10 modules of white before it, found 4.0 in the picture."]


def test_sizes_are_judged_only_where_the_resolution_is_known():
    inspection = inspect(on_paper(draw_ean13(GTIN, 300, 0.33, 22.85)))
    assert findings_of(inspection) == []
    assert findings_of(inspection, 300) == []
    assert findings_of(inspection, 600) == [
        "expected a module of 0.264 to 0.660 mm, found 0.169 mm.",
        "expected bars of at least 18.28 mm, found 11.43 mm.",
    ]


def test_an_ean_8_is_measured_and_symbols_of_others_are_only_read():
    inspection = inspect(on_paper(draw_ean8(SHORT_GTIN, 300, 0.33, 18.23)))
    assert findings_of(inspection, 300) == []
    (symbol,) = inspection.symbols
    assert (symbol.line, symbol.grade, symbol.agreed) == (f"]E4{SHORT_GTIN}", 4.0, True)
    for form, content, agreed in (("ITF", "19520000012349", True), ("QRCode", "A", None)):
        drawn = zxingcpp.create_barcode(content, getattr(zxingcpp.BarcodeFormat, form))
        other = on_paper(Image.fromarray(drawn.to_image(scale=4, add_quiet_zones=True)))
        inspection = inspect(other)
        (symbol,) = inspection.symbols
        assert (symbol.module, symbol.agreed, symbol.scans) == (None, agreed, ())
        assert findings_of(inspection) == [
            "a symbol of this kind is not printed here, so no size is known for it."
        ]


def test_bars_cut_too_low_are_found():
    image = on_paper(draw_ean13(GTIN, 300, 0.33, 22.85, caption=False))
    low = image.crop((0, 0, image.width, 20 + 180))
    assert findings(low, 300) == ["expected bars of at least 18.28 mm, found 15.24 mm."]


def test_a_reader_that_disagrees_is_named(monkeypatch):
    monkeypatch.setattr(images, "read_linear", lambda flat: {("CODE128", b"K001428X")})
    inspection = inspect(plain())
    assert [symbol.agreed for symbol in inspection.symbols] == [False]
    assert inspection.zbar_alone == ("K001428X",)
    assert findings(plain()) == [
        "zbar does not read the same: nothing that only one reader sees may be booked."
    ]


def run(tmp_path, image, *options):
    path = tmp_path / "picture.png"
    image.save(path)
    return CliRunner().invoke(command, ["check", str(path), *options])


def test_the_command_says_what_it_measured(tmp_path):
    result = run(tmp_path, plain(), "--dpi", "300")
    assert result.exit_code == 0
    lines = dict(line.split(":", 1) for line in result.stdout.splitlines() if ":" in line)
    assert {key: value.strip() for key, value in lines.items()}.items() >= {
        "reads": f"]C0{TEXT}",
        "readers": "zxing-cpp and zbar",
        "module, dots": "4.0",
        "module, mm": "0.339",
        "height, mm": "12.023",
        "grade": "4.0",
        "letter": "A",
    }.items()
    assert "not by a calibrated verifier" in result.stdout
    assert result.stderr == ""


def test_the_command_has_stable_keys_for_programs(tmp_path):
    result = run(tmp_path, plain(), "--format", "json")
    (row,) = json.loads(result.stdout)
    assert list(row) == [*(key for key, _ in KEYS), "findings"]
    assert (row["module_mm"], row["scan_grades"]) == (None, "4 4 4 4 4 4 4 4 4 4")


def test_the_command_fails_on_a_finding(tmp_path):
    image = plain()
    result = run(tmp_path, image.crop((50, 0, *image.size)))
    assert result.exit_code == 1
    assert "modules of white before it" in result.stderr


def test_a_picture_without_a_symbol_is_a_finding(tmp_path):
    result = run(tmp_path, Image.new("L", (300, 300), 255))
    assert result.exit_code == 1
    assert result.stderr.endswith("picture.png: no symbol was read.\n")


def test_what_only_zbar_reads_is_a_finding(tmp_path):
    result = run(tmp_path, greyed(plain()).filter(ImageFilter.GaussianBlur(2.5)))
    assert result.exit_code == 1
    assert result.stderr
