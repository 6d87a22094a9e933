"""Labels as PDF: the page, the bars on it, the same bytes every time. PDFium, which did not write it, renders it."""

import io

import pypdfium2
import pytest
from PIL import Image
from support_campaign import TIMES
from support_drawn import expected_of, read_apart
from support_each import each
from support_printing import DATA, code

from tracelink.devices.images import read_pixels
from tracelink.errors import UsageError
from tracelink.printing.label import make_label, write_label
from tracelink.printing.layout import layout_names, load_layout
from tracelink.printing.pdf import PdfPages
from tracelink.printing.sheet import sheet_of

MM = 72 / 25.4


def rendered(path, dpi, page=0):
    document = pypdfium2.PdfDocument(path)
    try:
        return document[page].render(scale=dpi / 72, grayscale=True).to_pil()
    finally:
        document.close()


def sizes_of(path):
    document = pypdfium2.PdfDocument(path)
    try:
        return [page.get_size() for page in document]
    finally:
        document.close()


def paged(name, dpi, tmp_path):
    """A label as a page, not proven; and the file."""
    path = tmp_path / f"{name}.pdf"
    label = make_label(load_layout(name), DATA[name], dpi)
    pages = PdfPages(path, f"Label {name}")
    pages.add(label)
    pages.save()
    return label, path


@each("dpi", [203, 300])
@each("name", layout_names())
def test_a_page_is_the_label_and_reads_back_at_the_printers_dots(name, dpi, tmp_path):
    label, path = paged(name, dpi, tmp_path)
    layout = label.layout
    assert sizes_of(path) == [pytest.approx((layout.width_mm * MM, layout.height_mm * MM), abs=0.01)]
    page, scans = rendered(path, dpi), expected_of(layout, DATA[name]).scans
    assert read_apart(page, label) == list(scans)
    if dpi == 203 or TIMES > 1:
        assert sorted(read_pixels(page, name)) == sorted(scans)


@each("dpi", [203, 300, 600])
@each("name", layout_names())
def test_bars_are_rectangles_on_the_printers_dots(name, dpi, tmp_path):
    """Every bar of the proven picture is one filled path of just its size and place, and nothing is a picture."""
    label, path = paged(name, dpi, tmp_path)
    document = pypdfium2.PdfDocument(path)
    objects = list(document[0].get_objects())
    boxes = [each.get_bounds() for each in objects if each.type == pypdfium2.raw.FPDF_PAGEOBJ_PATH]
    assert {each.type for each in objects} <= {
        pypdfium2.raw.FPDF_PAGEOBJ_PATH,
        pypdfium2.raw.FPDF_PAGEOBJ_TEXT,
    }
    document.close()
    high = label.layout.height_mm * MM
    in_dots = [
        tuple(side * dpi / 72 for side in (left, high - top, right, high - bottom))
        for left, bottom, right, top in boxes
    ]
    drawn = [
        (
            part.left + bar.left,
            part.top + bar.top,
            part.left + bar.left + bar.width,
            part.top + bar.top + bar.height,
        )
        for part in label.parts
        for bar in part.drawing.bars
    ]
    assert len(in_dots) == len(drawn)
    for found, wanted in zip(in_dots, drawn, strict=True):
        assert found == pytest.approx(wanted, abs=0.01)


def test_letters_stand_where_they_stand_in_the_proven_picture(tmp_path):
    name, dpi = "pallet-label", 203
    label, path = paged(name, dpi, tmp_path)
    picture, page = label.image().convert("L"), rendered(path, dpi)
    for box in ((0, 0, 1183, 260), (0, 260, 1183, 700), (0, 920, 1183, 1100)):
        ink = [
            im.crop(box).point(lambda value: 255 if value < 128 else 0).getbbox() for im in (picture, page)
        ]
        assert ink[0] == pytest.approx(ink[1], abs=4)


def test_the_face_is_in_the_file(tmp_path):
    content = paged("badge", 300, tmp_path)[1].read_bytes()
    assert b"DejaVuSansMono" in content
    assert b"/FontFile2" in content


def test_the_same_labels_are_the_same_bytes(tmp_path):
    path = tmp_path / "label.pdf"
    write_label(path, load_layout("carton-label"), DATA["carton-label"], 203)
    once = path.read_bytes()
    write_label(path, load_layout("carton-label"), DATA["carton-label"], 203)
    assert path.read_bytes() == once == paged("carton-label", 203, tmp_path)[1].read_bytes()


def sheet_file(path, name, datas, dpi=300):
    layout = load_layout(name)
    pages = PdfPages(path, "test", sheet_of(layout.width_mm, layout.height_mm, name))
    for data in datas:
        pages.add(make_label(layout, data, dpi))
    pages.save()


def test_a_sheet_has_every_label_once(tmp_path):
    path = tmp_path / "sheet.pdf"
    codes = [code("K", number) for number in range(1, 12)]
    sheet_file(path, "spindle-card", [{"code": text} for text in codes], 203)
    assert sizes_of(path) == [pytest.approx((210 * MM, 297 * MM), abs=0.01)] * 2
    found = [read_pixels(rendered(path, 203, page), "sheet") for page in (0, 1)]
    assert [sorted(page) for page in found] == [
        sorted(f"]C0{text}" for text in part) for part in (codes[:8], codes[8:])
    ]


def test_cut_lines_keep_out_of_quiet_zones(tmp_path):
    """Each label of a rendered sheet, cut out along its lines, still has white round its bars."""
    path = tmp_path / "sheet.pdf"
    layout = load_layout("spindle-card")
    sheet_file(path, "spindle-card", [DATA["spindle-card"]] * 8)
    page = rendered(path, 300)
    sheet = sheet_of(layout.width_mm, layout.height_mm, "spindle-card")
    label = make_label(layout, DATA["spindle-card"], 300)
    part = next(part for part in label.parts if part.drawing.symbol)
    for number in range(8):
        left, top = (round(side / 25.4 * 300) for side in sheet.corner_mm(number))
        extent = part.drawing.symbol
        first, last = left + part.left, left + part.left + part.drawing.width
        row = top + part.top + 100
        strip = page.crop((first + 2, row, last - 2, row + 1)).tobytes()
        before, behind = extent.rule.quiet_left * extent.module, extent.rule.quiet_right * extent.module
        assert set(strip[: before - 4]) == {255}
        assert set(strip[-(behind - 4) :]) == {255}


@pytest.mark.parametrize(
    ("size", "grid"),
    [
        ((105, 74), (2, 4, 210)),
        ((148, 105), (2, 2, 297)),
        ((210, 148), (1, 2, 210)),
        ((148, 210), (2, 1, 297)),
        ((60, 25), (3, 11, 210)),
        ((210, 297), (1, 1, 210)),
        ((297, 210), (1, 1, 297)),
    ],
)
def test_a_sheet_takes_as_many_as_fit(size, grid):
    sheet = sheet_of(*size, "test")
    assert (sheet.columns, sheet.rows, sheet.width_mm) == grid
    left, top = sheet.corner_mm(sheet.count - 1)
    assert left >= 0
    assert top >= 0
    assert left + size[0] <= sheet.width_mm + 1e-9
    assert top + size[1] <= sheet.height_mm + 1e-9


def test_a_label_larger_than_a_sheet_is_refused():
    with pytest.raises(UsageError) as caught:
        sheet_of(211, 211, "poster")
    assert str(caught.value) == (
        "Label poster of 211 x 211 mm does not fit on an A4 sheet; print it one to a page."
    )


def test_a_picture_is_written_unless_a_page_is_asked_for(tmp_path):
    path = tmp_path / "label.PNG"
    write_label(path, load_layout("badge"), DATA["badge"], 203)
    with Image.open(io.BytesIO(path.read_bytes())) as image:
        assert image.format == "PNG"
    write_label(tmp_path / "label.PDF", load_layout("badge"), DATA["badge"], 203)
    assert (tmp_path / "label.PDF").read_bytes().startswith(b"%PDF")
