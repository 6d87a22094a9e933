"""Pictures read into scanner lines, and every way in which a file is no such picture."""

import builtins
import io
import random
import sys
import warnings

import pytest
import zxingcpp
from PIL import Image, ImageFilter
from support_each import each
from support_printing import (
    CARTON,
    DATA,
    GTIN,
    SHORT_GTIN,
    draw_code128,
    draw_data_matrix,
    draw_data_matrix_gs1,
    draw_ean8,
    draw_ean13,
    draw_gs1_128,
    on_paper,
)

from tracelink.devices import images
from tracelink.devices.images import read_image, read_pixels
from tracelink.errors import ImageDoubtful, LedgerError, UsageError
from tracelink.identity.reading import read_scan

SPINDLE = DATA["spindle-card"]["code"]
TOOL = DATA["tool-tag"]["code"]
LOT = DATA["lot-card"]["code"]


def spindle():
    return draw_code128(SPINDLE, 300, 0.33, 12)


def ean():
    return draw_ean13(GTIN, 300, 0.33, 22.85)


def content():
    return draw_gs1_128([("02", "0" + GTIN), ("37", "25"), ("10", LOT)], 300, 0.495, 31.75)


def tool():
    return draw_data_matrix(TOOL, 300, 0.75)


def disc():
    return draw_data_matrix_gs1([("8006", f"0{GTIN}0102")], 300, 0.6)


LINES = {
    spindle: f"]C0{SPINDLE}",
    ean: f"]E0{GTIN}",
    content: f"]C1020{GTIN}3725\x1d10{LOT}",
    tool: f"]d1{TOOL}",
    disc: f"]d280060{GTIN}0102",
}


@pytest.mark.parametrize("draw", LINES, ids=lambda draw: draw.__name__)
@pytest.mark.parametrize("suffix", ["png", "jpg"])
def test_each_symbol_gives_the_line_a_scanner_would_send(draw, suffix, tmp_path):
    path = tmp_path / f"photo.{suffix}"
    on_paper(draw()).save(path)
    assert read_image(path) == [LINES[draw]]


@each("quarters", [1, 2, 3])
@each("draw", LINES, ids=lambda draw: draw.__name__)
def test_a_picture_turned_by_quarters_reads_the_same(draw, quarters):
    turned = on_paper(draw()).rotate(90 * quarters, expand=True)
    assert read_pixels(turned, "photo") == [LINES[draw]]


def test_a_upc_comes_as_thirteen_digits():
    # 416000336108: GS1 Syntax Engine tests; a UPC-A is an EAN-13 with a zero in front, and arrives as one.
    assert read_pixels(draw_ean13("0416000336108", 300, 0.33, 22.85), "photo") == ["]E00416000336108"]


ITF_14 = "19520000012349"
"""The GTIN of a case: indicator 1 before an invented product of the example prefix."""


def made(content, form, **how):
    """A symbol that this plant does not print, drawn by zxing-cpp."""
    symbol = zxingcpp.create_barcode(content, getattr(zxingcpp.BarcodeFormat, form), **how)
    return on_paper(Image.fromarray(symbol.to_image(scale=4, add_quiet_zones=True)))


OTHERS = {
    "ean-8": (lambda: on_paper(draw_ean8(SHORT_GTIN, 300, 0.33, 18.23)), f"]E4{SHORT_GTIN}"),
    "itf-14": (lambda: made(ITF_14, "ITF"), f"]I1{ITF_14}"),
    "gs1-qr": (
        lambda: made(f"(01)0{GTIN}(10)AB(21)7", "QRCode", gs1=True),
        f"]Q3010{GTIN}10AB\x1d217",
    ),
    "qr": (lambda: made(f"https://id.gs1.org/01/0{GTIN}", "QRCode"), f"]Q1https://id.gs1.org/01/0{GTIN}"),
}


@pytest.mark.parametrize("quarters", [0, 1, 2, 3])
@pytest.mark.parametrize(("draw", "line"), OTHERS.values(), ids=OTHERS)
def test_symbols_on_labels_of_others_are_read(draw, line, quarters):
    assert read_pixels(draw().rotate(90 * quarters, expand=True), "photo") == [line]


@pytest.mark.parametrize("content", ["1234", "00012345678905", "19520000012340", "123456789012"])
def test_an_interleaved_code_that_is_no_itf_14_does_not_count(content):
    """A part of one reads as a shorter one, and without a check digit nothing tells: 00012345678905 is a GTIN."""
    expected = ["]I100012345678905"] if content == "00012345678905" else []
    assert read_pixels(made(content, "ITF"), "photo") == expected


def test_symbols_of_others_stand_beside_our_own():
    sheet = on_paper(spindle(), *(draw().convert("L") for draw, _ in OTHERS.values()))
    assert read_pixels(sheet, "sheet") == [LINES[spindle], *(line for _, line in OTHERS.values())]


def test_symbols_come_in_reading_order_top_to_bottom():
    sheet = on_paper(ean(), tool(), content(), spindle(), disc())
    assert read_pixels(sheet, "sheet") == [LINES[draw] for draw in (ean, tool, content, spindle, disc)]


def test_symbols_side_by_side_come_from_the_left():
    assert read_pixels(on_paper(spindle(), ean(), tool(), across=True), "sheet") == [
        LINES[spindle],
        LINES[ean],
        LINES[tool],
    ]


def test_a_file_gives_each_line_once_and_pixels_give_every_symbol(tmp_path):
    twice = on_paper(spindle(), spindle(), across=True)
    twice.save(tmp_path / "photo.png")
    assert read_pixels(twice, "photo") == [LINES[spindle], LINES[spindle]]
    assert read_image(tmp_path / "photo.png") == [LINES[spindle]]


def test_rows_are_rows_though_their_tops_differ():
    left, right = spindle(), ean()
    row = Image.new("L", (left.width + right.width + 60, 500), 255)
    row.paste(left, (0, 60))
    row.paste(right, (left.width + 60, 20))
    sheet = on_paper(row, content())
    assert read_pixels(sheet, "sheet") == [LINES[spindle], LINES[ean], LINES[content]]


def test_what_is_read_is_what_the_station_reads():
    for draw, line in LINES.items():
        assert read_scan(read_pixels(draw(), "photo")[0]) == read_scan(line)


@pytest.mark.parametrize("mode", ["1", "L", "RGB", "P", "LA", "RGBA", "I;16", "CMYK"])
def test_every_kind_of_pixel_is_read(mode):
    grey = on_paper(spindle()).convert("L")
    image = grey.convert("I;16").point(lambda value: value * 256) if mode == "I;16" else grey.convert(mode)
    assert read_pixels(image, "photo") == [LINES[spindle]]


def test_clear_paper_is_white_paper(tmp_path):
    black = on_paper(spindle()).point(lambda value: 255 - value)
    path = tmp_path / "clear.png"
    Image.merge("LA", (Image.new("L", black.size, 0), black)).save(path)
    assert read_image(path) == [LINES[spindle]]


def test_sixteen_bit_grey_is_not_all_white(tmp_path):
    path = tmp_path / "scan.png"
    # Paper at 40 percent of full scale, ink at 2 percent: clipped to 8 bits both would be white.
    on_paper(spindle()).convert("I;16").point(lambda value: value * 100 + 1300).save(path)
    assert read_image(path) == [LINES[spindle]]


def test_a_picture_that_notes_how_it_was_held_reads_as_a_person_sees_it(tmp_path):
    sheet = on_paper(spindle(), ean())
    exif = Image.Exif()
    exif[0x0112] = 3  # Exif orientation: turned by 180 degrees
    path = tmp_path / "photo.jpg"
    sheet.rotate(180).save(path, exif=exif)
    assert read_image(path) == [LINES[spindle], LINES[ean]]


def doubtful(monkeypatch, by_zbar):
    monkeypatch.setattr(images, "read_linear", lambda grey: by_zbar)
    with pytest.raises(ImageDoubtful) as caught:
        read_pixels(on_paper(spindle(), tool()), "photo.png")
    assert caught.value.exit_code == 4
    return str(caught.value)


def test_a_symbol_only_one_reader_sees_is_doubtful(monkeypatch):
    assert doubtful(monkeypatch, set()) == (
        f"photo.png: the two readers do not agree. zxing-cpp read Code 128 '{SPINDLE}', zbar read nothing there. "
        "Nothing in this picture counts; scan the piece itself or take a sharper picture."
    )


def test_different_readings_are_doubtful(monkeypatch):
    assert doubtful(monkeypatch, {("CODE128", b"K001428X")}) == (
        f"photo.png: the two readers do not agree. zxing-cpp read Code 128 '{SPINDLE}', zbar read Code 128 'K001428X'. "
        "Nothing in this picture counts; scan the piece itself or take a sharper picture."
    )


def test_the_same_text_in_another_symbol_is_doubtful(monkeypatch):
    assert "zbar read EAN-13" in doubtful(monkeypatch, {("EAN13", SPINDLE.encode())})


def test_one_doubtful_symbol_spoils_the_picture(monkeypatch):
    said = doubtful(monkeypatch, {("CODE128", SPINDLE.encode()), ("EAN13", GTIN.encode())})
    assert said.startswith(
        f"photo.png: the two readers do not agree. zxing-cpp read nothing there, zbar read EAN-13 '{GTIN}'."
    )


def test_no_picture_gives_a_wrong_line():
    """Blur and shrink until the readers fail: they may say nothing or be refused, but not say something else."""
    chance = random.Random(20260302)
    outcomes = {"read": 0, "nothing": 0, "doubtful": 0}
    for _ in range(60):
        sheet = on_paper(draw_code128(SPINDLE, 203, 0.25, 10, caption=False))
        scale = chance.uniform(0.3, 1.0)
        spoilt = sheet.resize(
            (round(sheet.width * scale), round(sheet.height * scale)), Image.Resampling.BILINEAR
        )
        spoilt = spoilt.filter(ImageFilter.GaussianBlur(chance.uniform(0, 1.5)))
        try:
            found = read_pixels(spoilt, "photo")
        except ImageDoubtful:
            outcomes["doubtful"] += 1
        else:
            assert found in ([], [LINES[spindle]])
            outcomes["read" if found else "nothing"] += 1
    assert all(outcomes.values()), outcomes


@each("caption", [True, False])
@each("text", [".}p7W-1r7", "@175DK4", "9Mas962r", "y.}M9S52~9Z10", "RJ1H4t3^Y4W=L2"])
def test_a_clean_symbol_is_not_read_as_two(text, caption):
    """Found by trial, seven in 31,000: a reader's downscaled look finds a false symbol in these clean ones."""
    image = draw_code128(text, 300, 0.33, 15, caption=caption)
    assert read_pixels(image, "photo") == ["]C0" + text]


def test_a_picture_without_symbol_is_refused(tmp_path):
    path = tmp_path / "blank.png"
    Image.new("L", (400, 300), 255).save(path)
    with pytest.raises(UsageError) as caught:
        read_image(path)
    assert str(caught.value) == (
        f"{path} shows no symbol that can be read: expected Code 128, GS1-128, EAN-13, EAN-8, ITF-14, Data "
        "Matrix or QR Code, upright or turned by quarters, sharp and with white margins."
    )


def test_a_picture_of_one_dot_is_refused(tmp_path):
    path = tmp_path / "dot.png"
    Image.new("L", (1, 1)).save(path)
    with pytest.raises(UsageError, match="shows no symbol"):
        read_image(path)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(UsageError) as caught:
        read_image(tmp_path / "none.png")
    assert str(caught.value) == f"There is no file {tmp_path / 'none.png'}."


def test_a_folder_is_no_picture(tmp_path):
    with pytest.raises(UsageError) as caught:
        read_image(tmp_path)
    assert str(caught.value) == f"{tmp_path} cannot be read as a file: Is a directory."


@pytest.mark.parametrize(
    "content", [b"", b"]C0K001427Y\n", b"%PDF-1.7\n", b"GIF89a"], ids=["empty", "text", "pdf", "gif"]
)
def test_a_file_that_is_no_picture_is_refused(content, tmp_path):
    path = tmp_path / "photo.png"
    path.write_bytes(content)
    with pytest.raises(UsageError) as caught:
        read_image(path)
    assert str(caught.value) == f"{path} is not an image: expected a PNG or JPEG file."


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_cut_picture_is_refused(kind, tmp_path):
    whole = io.BytesIO()
    on_paper(spindle()).save(whole, kind)
    path = tmp_path / "photo"
    for part in (0.5, 0.9):
        path.write_bytes(whole.getvalue()[: int(len(whole.getvalue()) * part)])
        with pytest.raises(UsageError) as caught:
            read_image(path)
        assert str(caught.value).startswith(f"{path} is a damaged or incomplete image (")
        assert str(caught.value).endswith("; take or copy it again.")


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_spoilt_file_is_read_right_or_refused(kind, tmp_path):
    """Any cut, any changed bytes: the right line, or a sentence; never a crash, never a wrong line."""
    whole = io.BytesIO()
    on_paper(draw_code128(SPINDLE, 203, 0.25, 8, caption=False)).save(whole, kind)
    chance = random.Random(20260303)
    path = tmp_path / "photo"
    refused = 0
    for turn in range(150):
        spoilt = bytearray(whole.getvalue())
        if turn % 3 == 0:
            del spoilt[chance.randrange(len(spoilt)) :]
        else:
            for _ in range(chance.randint(1, 4)):
                spoilt[chance.randrange(len(spoilt))] = chance.randrange(256)
        path.write_bytes(spoilt)
        try:
            assert read_image(path) == [LINES[spindle]]
        except LedgerError:
            refused += 1
    assert refused > 50


def test_a_huge_picture_is_refused_before_it_is_unpacked(tmp_path):
    path = tmp_path / "huge.png"
    Image.new("1", (10_000, 5_001)).save(path)
    with pytest.raises(UsageError) as caught:
        read_image(path)
    assert str(caught.value) == (
        f"{path} has 10000 x 5001 pixels: expected at most 50,000,000; cut out the label and read that."
    )


def test_a_bomb_is_refused(tmp_path, monkeypatch):
    path = tmp_path / "bomb.png"
    Image.new("1", (3_000, 1_000)).save(path)
    for limit in (2_000_000, 1_000_000):  # Pillow warns over the limit and raises over twice the limit
        monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", limit)
        with warnings.catch_warnings(), pytest.raises(UsageError) as caught:
            read_image(path)
        assert (
            str(caught.value) == f"{path} is larger than 50,000,000 pixels; cut out the label and read that."
        )


def test_without_zbar_the_sentence_says_what_to_install(tmp_path, monkeypatch):
    path = tmp_path / "photo.png"
    on_paper(spindle()).save(path)
    importing = builtins.__import__

    def without_zbar(name, *rest):
        if name.startswith("pyzbar"):
            raise ImportError("Unable to find zbar shared library")
        return importing(name, *rest)

    monkeypatch.delitem(sys.modules, "pyzbar.pyzbar", raising=False)
    monkeypatch.delitem(sys.modules, "pyzbar", raising=False)
    monkeypatch.setattr(builtins, "__import__", without_zbar)
    with pytest.raises(UsageError) as caught:
        read_image(path)
    assert str(caught.value) == (
        "Reading pictures needs the zbar library, which is not installed: on Debian run 'apt-get install libzbar0', "
        "then try again."
    )


def test_the_carton_number_is_read_beside_its_content():
    sheet = on_paper(content(), draw_gs1_128([("00", CARTON)], 300, 0.495, 31.75))
    assert read_pixels(sheet, "sheet") == [LINES[content], f"]C100{CARTON}"]
