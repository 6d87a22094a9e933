"""Every symbol drawn here, read by readers that share no code with what drew it.

Linear symbols: python-barcode gives the pattern, zbar and zxing-cpp read it. Data Matrix: zxing-cpp gives the modules and
reads them, which proves little by itself, so libdmtx reads them too. libdmtx drops the function character that marks GS1
data, so it is asked for the data alone.
"""

import random
import string
import warnings

import pytest
import zxingcpp
from barcode.codex import Code128
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pyzbar import pyzbar
from support_campaign import tries
from support_drawn import draw_label, expected_of
from support_each import each
from support_printing import (
    CARTON,
    DATA,
    GTIN,
    draw_code128,
    draw_data_matrix,
    draw_data_matrix_gs1,
    draw_ean13,
    draw_gs1_128,
    on_paper,
    vector,
)

from tracelink.identity.gs1.aitable import CSET_82
from tracelink.identity.gs1.elements import write_elements
from tracelink.printing.layout import layout_names, load_layout

DPIS = (203, 300, 600)
FORMATS = zxingcpp.BarcodeFormats(
    [zxingcpp.BarcodeFormat.Code128, zxingcpp.BarcodeFormat.EAN13, zxingcpp.BarcodeFormat.DataMatrix]
)
ASCII = "".join(chr(number) for number in range(32, 127))
few = settings(max_examples=tries(100), deadline=None, derandomize=True)


def by_zbar(image):
    symbols = [pyzbar.ZBarSymbol.CODE128, pyzbar.ZBarSymbol.EAN13]
    return [symbol.data for symbol in pyzbar.decode(image.convert("L"), symbols=symbols)]


def by_zxing(image):
    found = zxingcpp.read_barcodes(image.convert("L"), formats=FORMATS, try_downscale=False)
    return [(symbol.symbology_identifier, symbol.bytes) for symbol in found]


def by_libdmtx(image):
    """Read with the C library libdmtx through its Python binding; a skip names what is missing."""
    with warnings.catch_warnings():
        # The binding asks for its library's version in a way that newer Pythons warn of.
        warnings.simplefilter("ignore", DeprecationWarning)
        try:
            from pylibdmtx import pylibdmtx  # noqa: PLC0415  # may be missing
        except ImportError as error:
            pytest.skip(
                f"second reader of Data Matrix is missing: pylibdmtx with Debian's libdmtx0b ({error})"
            )
    return [symbol.data for symbol in pylibdmtx.decode(on_paper(image), max_count=1, timeout=5000)]


def both_read(image, identifier, content):
    assert by_zxing(image) == [(identifier, content.encode("ascii"))]
    assert by_zbar(image) == [content.encode("ascii")]


def low(image):
    """Return few of the rows of bars without a caption; all rows are the same, and many take long to look at."""
    rows = {image.crop((0, y, image.width, y + 1)).tobytes() for y in range(image.height)}
    assert len(rows) == 1
    return image.crop((0, 0, image.width, 24))


@each("dpi", DPIS)
@each("text", [DATA["spindle-card"]["code"], DATA["lot-card"]["code"], "ACLOSECARTON0", "0", "AB12cd"])
def test_a_code_128_is_read_by_both(text, dpi):
    both_read(draw_code128(text, dpi, 0.33, 10), "]C0", text)


@each("dpi", DPIS)
@each("text", ["99", "991", "9912", "991234", "99AB", "9999", "999999", "99 99"])
def test_a_code_128_that_begins_with_99_keeps_it(text, dpi):
    both_read(draw_code128(text, dpi, 0.25, 10), "]C0", text)


def test_the_library_alone_would_lose_the_99():
    """The fault that the override is for is still there; when it is gone, so may the override be."""
    faulty = Code128("991234").build()[0]
    row = Image.new("1", (len(faulty) + 20, 1), 1)
    row.putdata([1] * 10 + [1 - int(bit) for bit in faulty] + [1] * 10)
    image = row.resize((row.width * 3, 60), 0)
    assert by_zxing(image) == [("]C0", b"1234")]
    assert by_zbar(image) == [b"1234"]


@few
@given(text=st.text(ASCII, min_size=1, max_size=20))
def test_any_plain_text_is_read_by_both(text):
    both_read(low(draw_code128(text, 203, 0.25, 8, caption=False)), "]C0", text)


@few
@given(digits=st.text(string.digits, min_size=0, max_size=14), tail=st.text(ASCII, max_size=4))
def test_any_text_that_begins_with_99_is_read_by_both(digits, tail):
    image = draw_code128("99" + digits + tail, 203, 0.25, 8, caption=False)
    both_read(low(image), "]C0", "99" + digits + tail)


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize(
    "pairs",
    [
        [("00", CARTON)],
        [("02", "0" + GTIN), ("37", "25"), ("10", "L000123S")],
        [("02", "0" + GTIN), ("10", "L"), ("37", "1")],
        [("01", "95012345678903"), ("10", "ABC"), ("21", "X1")],
        [("01", "95012345678903"), ("21", "()%+")],
    ],
    ids=lambda pairs: "+".join(ai for ai, _ in pairs),
)
def test_a_gs1_128_is_read_by_both(pairs, dpi):
    both_read(draw_gs1_128(pairs, dpi, 0.495, 31.75), "]C1", write_elements(pairs))


@few
@given(
    lot=st.text(sorted(CSET_82), min_size=1, max_size=8),
    serial=st.text(sorted(CSET_82), min_size=1, max_size=8),
)
def test_any_lot_and_serial_is_read_by_both(lot, serial):
    pairs = [("10", lot), ("21", serial)]
    both_read(low(draw_gs1_128(pairs, 203, 0.495, 31.75, caption=False)), "]C1", write_elements(pairs))


@each("dpi", DPIS)
@each("x_mm", [0.264, 0.33, 0.66])
@each("gtin", [GTIN, "6291041500213", "9501101531000", "0416000336108"])
def test_an_ean_13_is_read_by_both(gtin, x_mm, dpi):
    # GS1 Hong Kong; biip's documentation; GS1 Syntax Engine tests (a UPC-A with its leading zero).
    both_read(draw_ean13(gtin, dpi, x_mm, 22.85), "]E0", gtin)


@pytest.mark.parametrize("key", ["rt-1", "rt-2", "rt-3", "rt-5"])
def test_a_published_carrier_carries_what_is_published(key):
    case = vector(key)
    content, expected = case["input"]["content"], case["expected"]
    draw = {
        "rt-1": lambda: draw_gs1_128([("00", content[4:])], 300, 0.495, 31.75),
        # The trap: brackets drawn as plain text are data, under the identifier of plain data.
        "rt-2": lambda: draw_code128(content, 300, 0.33, 10),
        "rt-3": lambda: draw_data_matrix_gs1(
            [("01", "95012345678903"), ("10", "ABC"), ("21", "X1")], 300, 0.6
        ),
        "rt-5": lambda: draw_ean13(content, 300, 0.33, 22.85),
    }[key]
    assert by_zxing(draw()) == [(expected["prefix"], expected["data"].encode("ascii"))], case["source"]


@each("dpi", DPIS)
@each("text", [DATA["tool-tag"]["code"], "T", "T999999999Z", "99", "ab cd ~1 (01)"])
def test_a_data_matrix_is_read_by_a_reader_that_did_not_write_it(text, dpi):
    image = draw_data_matrix(text, dpi, 0.75)
    assert by_zxing(image) == [("]d1", text.encode("ascii"))]
    assert by_libdmtx(image) == [text.encode("ascii")]


@each("dpi", DPIS)
@each(
    "pairs",
    [
        [("8006", f"0{GTIN}0102")],
        [("01", "0" + GTIN), ("21", "0042")],
        [("01", "0" + GTIN), ("21", "aZ-9/_)%+&'!?*<>=;:,")],
        [("01", "95012345678903"), ("10", "ABC"), ("21", "X1")],
    ],
    ids=lambda pairs: "+".join(ai for ai, _ in pairs),
)
def test_a_gs1_data_matrix_is_read_by_a_reader_that_did_not_write_it(pairs, dpi):
    image = draw_data_matrix_gs1(pairs, dpi, 0.6)
    content = write_elements(pairs).encode("ascii")
    assert by_zxing(image) == [("]d2", content)]
    assert by_libdmtx(image) == [content.replace(b"\x1d", b"")]


def test_any_data_matrix_is_read_by_a_reader_that_did_not_write_it():
    chance = random.Random(20260304)
    for _ in range(60):
        text = "".join(chance.choice(ASCII) for _ in range(chance.randint(1, 30)))
        image = draw_data_matrix(text, 203, 0.75)
        assert by_zxing(image) == [("]d1", text.encode("ascii"))]
        assert by_libdmtx(image) == [text.encode("ascii")], text


@each("name", layout_names())
def test_the_symbols_of_every_label_are_read_by_both(name):
    layout = load_layout(name)
    image = draw_label(layout, DATA[name], 203)
    scans = expected_of(layout, DATA[name]).scans
    assert sorted(by_zxing(image)) == sorted((scan[:3], scan[3:].encode("ascii")) for scan in scans)
    linear = [scan[3:].encode("ascii") for scan in scans if scan[1] != "d"]
    assert sorted(by_zbar(image)) == sorted(linear)
