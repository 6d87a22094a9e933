"""Labels drawn, read back, and written only if they say what they must."""

import pytest
from PIL import Image
from support_campaign import TIMES
from support_drawn import draw_label, expected_of, read_apart
from support_each import each
from support_printing import (
    CARTON,
    DATA,
    GTIN,
    PALLET,
    SHORT_GTIN,
    code,
    draw_code128,
    draw_data_matrix,
    on_paper,
    vector,
)

from tracelink.devices import images
from tracelink.devices.images import read_image
from tracelink.errors import LabelNotProven, StorageFailed, UsageError
from tracelink.identity.gs1.elements import check_association, parse_elements
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.rawlines import (
    raw_act,
    raw_carton,
    raw_disc,
    raw_numbered_sleeve,
    raw_plant,
    raw_sleeve,
    raw_sscc,
)
from tracelink.identity.reading import SleeveRead, read_scan
from tracelink.printing import label as module
from tracelink.printing.label import make_label, write_label
from tracelink.printing.label_proof import Expected, measure, prove
from tracelink.printing.layout import layout_names, load_layout

DPIS = (203, 300, 600)
WHOLE = ("disc-label", "numbered-sleeve", "sample-tag", "sleeve-ean", "tool-tag")
"""Small labels, with one of every kind of symbol but the large ones of cartons."""
SPINDLE = DATA["spindle-card"]["code"]

SAID = {
    "act-card": [raw_act("CLOSE")],
    "act-first": [raw_act("STOP")],
    "reason-row": [raw_plant(code("R", 12))],
    "act-row": [raw_act("CLOSE")],
    "badge": [raw_plant(code("P", 17))],
    "carton-label": [raw_carton(None, GTIN, 25, code("L", 123)), raw_sscc(CARTON)],
    "disc-label": [raw_disc(GTIN, 1, 2)],
    "lot-card": [raw_plant(code("L", 123))],
    "numbered-sleeve": [raw_numbered_sleeve(GTIN, "0042")],
    "carton-label-lots": [f"]C102{GTIN.zfill(14)}3725", raw_sscc(CARTON)],
    "pallet-label": [raw_sscc(PALLET)],
    "pallet-number": [raw_sscc(PALLET)],
    "part-lot-card": [raw_plant(code("M", 7))],
    "plant-code": [raw_plant(code("C", 88))],
    "reel-label": [raw_plant(code("F", 12))],
    "serial-label": [raw_plant(code("U", 101))],
    "sample-tag": [raw_plant(code("S", 905))],
    "sleeve-batch": [raw_plant(code("B", 31))],
    "sleeve-ean": [raw_sleeve(GTIN)],
    "spindle-card": [raw_plant(SPINDLE)],
    "tool-tag": ["]d1" + code("T", 64)],
}
"""What a scanner sends for each label, written down by the room of identity and not by that of printing."""


@pytest.fixture(scope="module", params=layout_names())
def name(request):
    return request.param


@pytest.fixture(scope="module")
def written(name, tmp_path_factory):
    """A label in a file, and what it is proven to say."""
    path = tmp_path_factory.mktemp("label") / "label.png"
    return path, write_label(path, load_layout(name), DATA[name], DPIS[0])


def test_every_label_is_written_and_reads_back(name, written):
    path, said = written
    assert said == Expected(name, tuple(SAID[name]))
    assert read_image(path) == SAID[name]
    for line in SAID[name]:
        read_scan(line)


@each("dpi", DPIS[1:])
@each("name", layout_names())
def test_every_label_reads_back_at_finer_printers(name, dpi):
    """What differs from the coarsest printer are sizes in dots; so each symbol is read, and of each kind one label whole."""
    label = make_label(load_layout(name), DATA[name], dpi)
    image = label.image()
    measure(image, label.parts, name, dpi)
    assert label.expected == Expected(name, tuple(SAID[name]))
    assert read_apart(image, label) == SAID[name]
    if name in WHOLE or TIMES > 1:
        prove(image, label.expected)


@pytest.mark.parametrize("given", [SHORT_GTIN, f"00000{SHORT_GTIN}"])
def test_a_gtin_8_is_drawn_as_ean_8(given, tmp_path):
    """As an EAN-13 it would have five needless zeros, and no shop's till knows it."""
    path = tmp_path / "label.png"
    said = write_label(path, load_layout("sleeve-ean"), {"gtin": given, "catalogue": "EX 8"}, 300)
    assert said.scans == (f"]E4{SHORT_GTIN}",)
    assert read_image(path) == [f"]E4{SHORT_GTIN}"]
    assert read_scan(said.scans[0]) == SleeveRead(Gtin.parse(SHORT_GTIN), None)


def size_at(layout, dpi):
    return (round(layout.width_mm * dpi / 25.4), round(layout.height_mm * dpi / 25.4))


def test_a_label_has_the_size_of_its_layout(name, written):
    with Image.open(written[0]) as image:
        assert image.mode == "1"
        assert image.size == size_at(load_layout(name), DPIS[0])
    for dpi in DPIS:
        assert draw_label(load_layout(name), DATA[name], dpi).size == size_at(load_layout(name), dpi)


@each("dpi", DPIS)
def test_a_picture_knows_its_resolution(dpi, tmp_path):
    layout = load_layout("tool-tag")
    write_label(tmp_path / "tag.png", layout, DATA["tool-tag"], dpi)
    with Image.open(tmp_path / "tag.png") as image:
        assert image.size == size_at(layout, dpi)
        # A PNG keeps dots per metre, as a whole number.
        assert image.info["dpi"] == pytest.approx((dpi, dpi), abs=0.02)


def test_the_same_label_is_the_same_file(tmp_path):
    for name in ("one.png", "two.png"):
        write_label(tmp_path / name, load_layout("lot-card"), DATA["lot-card"], 203)
    assert (tmp_path / "one.png").read_bytes() == (tmp_path / "two.png").read_bytes()


def test_the_symbols_of_a_carton_may_stand_on_one_item():
    together = {}
    for line in SAID["carton-label"]:
        together |= parse_elements(line[3:])
    check_association(together)
    assert set(together) == {"00", "02", "37", "10"}


@pytest.mark.parametrize("name", ["carton-label", "carton-label-lots", "pallet-label", "pallet-number"])
def test_a_logistic_label_follows_the_rules_for_one(name):
    rule = vector("size-label-layout")["expected"]
    layout = load_layout(name)
    lowest = max(layout.symbols, key=lambda symbol: symbol.at_mm[1])
    assert rule["sscc_barcode"] == "lowest portion of the label"
    assert lowest.elements == (("00", "{sscc}"),)
    assert rule["hri"] == "required for each barcode"
    assert all(symbol.caption for symbol in layout.symbols)
    titled = [
        text for text in layout.texts if text.text.split()[0] in {"SSCC", "CONTENT", "COUNT", "BATCH/LOT"}
    ]
    assert {text.text.split()[0] for text in titled} >= {"SSCC"}
    assert all(text.letter_mm >= rule["text_height_min_mm"] for text in titled)
    assert not any("(" in text.text for text in titled)


def test_the_fullest_labels_fit():
    """The longest codes and the widest words that a field takes, on the coarsest printer and the finest."""
    longest = {
        "act-card": {"act": "RESTOCKLOOSE", "meaning": "x"},
        "act-row": {"act": "RESTOCKLOOSE", "meaning": "x"},
        "carton-label": {**DATA["carton-label"], "count": "9999", "title": "W " * 100},
        "carton-label-lots": {**DATA["carton-label-lots"], "count": "9999", "lots": "L000123S, " * 20},
        "pallet-label": {
            **DATA["pallet-label"],
            "cartons": "9999 cartons",
            "units": "999999 units",
            "title": "W " * 100,
        },
        "lot-card": {**DATA["lot-card"], "code": code("L", 999_999_999), "title": "W " * 100},
        "numbered-sleeve": {"gtin": GTIN, "serial": "1234567890abcdefghij", "edition": "999999"},
        "sample-tag": {**DATA["sample-tag"], "code": code("S", 999_999_999), "stroke": "999999999"},
        "spindle-card": {"code": code("K", 999_999_999)},
        "tool-tag": {**DATA["tool-tag"], "code": code("T", 999_999_999)},
    }
    for name, data in longest.items():
        for dpi in DPIS:
            label = make_label(load_layout(name), data, dpi)
            image = label.image()
            measure(image, label.parts, name, dpi)
            assert read_apart(image, label) == list(expected_of(label.layout, data).scans)
            if dpi == DPIS[0] or TIMES > 1:
                prove(image, label.expected)


def test_what_is_expected_follows_from_the_data_alone():
    data = {**DATA["disc-label"], "piece": "12", "total": "12"}
    assert expected_of(load_layout("disc-label"), data) == Expected("disc-label", (raw_disc(GTIN, 12, 12),))


def not_proven(image, *scans):
    with pytest.raises(LabelNotProven) as caught:
        prove(image, Expected("card", scans))
    assert caught.value.exit_code == 4
    return str(caught.value)


def test_a_symbol_that_says_something_else_is_not_proven():
    image = draw_code128("K001428X", 300, 0.33, 12)
    assert not_proven(image, f"]C0{SPINDLE}") == (
        f"Label card does not read back: expected ']C0{SPINDLE}', found ']C0K001428X'. The label was not written."
    )


def test_the_right_text_in_the_wrong_symbol_is_not_proven():
    image = draw_data_matrix(SPINDLE, 300, 0.75)
    assert f"found ']d1{SPINDLE}'" in not_proven(image, f"]C0{SPINDLE}")


def test_a_symbol_too_many_and_one_too_few_are_not_proven():
    two = on_paper(draw_code128(SPINDLE, 300, 0.33, 12), draw_data_matrix("T000064U", 300, 0.75))
    assert "found ']C0" in not_proven(two, f"]C0{SPINDLE}")
    assert "found nothing" in not_proven(Image.new("1", (400, 400), 1), f"]C0{SPINDLE}")


def test_the_same_symbol_twice_is_not_proven():
    twice = on_paper(*[draw_code128(SPINDLE, 300, 0.33, 12)] * 2, across=True)
    assert not_proven(twice, f"]C0{SPINDLE}").count(SPINDLE) == 3


def test_a_label_on_which_the_readers_disagree_is_not_proven(monkeypatch):
    monkeypatch.setattr(images, "read_linear", lambda grey: set())
    assert not_proven(draw_code128(SPINDLE, 300, 0.33, 12), f"]C0{SPINDLE}") == (
        f"Label card: the two readers do not agree. zxing-cpp read Code 128 '{SPINDLE}', zbar read nothing there. "
        "Nothing in this picture counts; scan the piece itself or take a sharper picture. The label was not written."
    )


def test_what_is_not_proven_is_not_written(tmp_path, monkeypatch):
    path = tmp_path / "label.png"
    path.write_bytes(b"the label before")
    other = draw_label(load_layout("spindle-card"), {"code": code("K", 1428)}, 300)
    monkeypatch.setattr(module.Label, "image", lambda self: other)
    with pytest.raises(LabelNotProven):
        write_label(path, load_layout("spindle-card"), DATA["spindle-card"], 300)
    assert path.read_bytes() == b"the label before"
    assert list(tmp_path.iterdir()) == [path]


def test_a_label_that_cannot_be_written_leaves_nothing(tmp_path, monkeypatch):
    def full(self, stream, **how):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Image.Image, "save", full)
    with pytest.raises(StorageFailed) as caught:
        write_label(tmp_path / "label.png", load_layout("spindle-card"), DATA["spindle-card"], 300)
    assert str(caught.value) == (
        f"Label spindle-card cannot be written to {tmp_path}/label.png: No space left on device. "
        "Make room and ask again; nothing was written."
    )
    assert not list(tmp_path.iterdir())


def test_a_missing_folder_is_named(tmp_path):
    with pytest.raises(UsageError, match=r"cannot be written to .*none/label.png: No such file or directory"):
        write_label(tmp_path / "none" / "label.png", load_layout("spindle-card"), DATA["spindle-card"], 300)


@pytest.mark.parametrize("dpi", [0, 149, 2401])
def test_a_resolution_no_printer_has_is_refused(dpi):
    with pytest.raises(UsageError) as caught:
        draw_label(load_layout("spindle-card"), DATA["spindle-card"], dpi)
    assert str(caught.value) == f"A label is printed at 150 to 2400 dpi, found {dpi}."


def plain(tmp_path, parts, data=None):
    content = """
        use = "test"
        width = 60
        height = 30
        [fields.code]
        type = "plant-code"
        hint = "code"
        [[symbol]]
        type = "code-128"
        data = "{code}"
        at = [2, 2]
        x = 0.25
        height = 10
        caption = false
    """
    (tmp_path / "test.toml").write_text(content + parts, encoding="utf-8")
    return draw_label(load_layout("test", tmp_path), data or {"code": SPINDLE}, 300)


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        (
            "[[line]]\nat = [50, 20]\nwidth = 10.5\nheight = 1",
            "Label test: line 1 reaches to [60.5, 21.0] mm, the label to [60.0, 30.0] mm.",
        ),
        (
            "[[line]]\nat = [50, 20]\nwidth = 1\nheight = 11",
            "Label test: line 1 reaches to [51.1, 31.0] mm, the label to [60.0, 30.0] mm.",
        ),
        (
            "[[line]]\nat = [2.2, 5]\nwidth = 1\nheight = 1",  # in the quiet zone, where no reader would mind
            "Label test: symbol 1 (code-128) from [2.0, 2.0] mm to [35.6, 12.1] mm and line 1 from [2.2, 5.0] mm to [3.2, 6.0] mm cover each other.",
        ),
        (
            '[[text]]\ntext = "T {code}"\nat = [2, 11]\nwidth = 50\nletter = 3',
            "Label test: symbol 1 (code-128) from [2.0, 2.0] mm to [35.6, 12.1] mm and text 1 from [2.0, 11.0] mm to [52.1, 15.9] mm cover each other.",
        ),
        (
            '[[text]]\ntext = "T {code}"\nat = [2, 15]\nwidth = 20\nletter = 3',
            f"Label test, text 1: 'T {SPINDLE}' does not fit into 1 line(s) of 20 mm with letters of 3 mm.",
        ),
        (
            '[[text]]\ntext = "潮"\nat = [2, 15]\nwidth = 20\nletter = 3',
            "Label test, text 1: '潮' cannot be printed: the labels' type has no character '潮'.",
        ),
        (
            '[[symbol]]\ntype = "ean-13"\ndata = "{code}"\nat = [2, 13]\nx = 0.33\nheight = 22.85',
            f"Label test: EAN-13 needs 13 digits, found '{SPINDLE}'.",
        ),
        (
            '[[symbol]]\ntype = "gs1-data-matrix"\nelements = [["99", "{code}"]]\nat = [2, 13]\nx = 0.6',
            "Label test: application identifier 99 is not used here: expected one of 00, 01, 02, 10, 21, 37, 8006.",
        ),
    ],
)
def test_what_does_not_fit_is_refused(parts, sentence, tmp_path):
    with pytest.raises(UsageError) as caught:
        plain(tmp_path, parts)
    assert str(caught.value) == sentence


@pytest.mark.parametrize(
    ("align", "left", "right"), [("left", 0, None), ("right", None, 0), ("centre", None, None)]
)
def test_text_stands_where_it_is_aligned(align, left, right, tmp_path):
    image = plain(
        tmp_path, f'[[text]]\ntext = "HHHH"\nat = [5, 15]\nwidth = 40\nletter = 3\nalign = "{align}"'
    )
    box = (
        image.crop((0, 180, image.width, image.height))
        .convert("L")
        .point(lambda value: 255 - value)
        .getbbox()
    )
    start, end = 5 * 300 / 25.4, 45 * 300 / 25.4
    before, after = box[0] - start, end - box[2]
    assert before >= 0
    assert after >= 0
    if align == "centre":
        assert before == pytest.approx(after, abs=4)
    else:
        assert min(before, after) < 8 < max(before, after)
        assert (before < after) == (align == "left")


def test_a_line_is_black_and_where_it_is_said(tmp_path):
    image = plain(tmp_path, "[[line]]\nat = [5, 20]\nwidth = 40\nheight = 0.5")
    box = (
        image.crop((0, 180, image.width, image.height))
        .convert("L")
        .point(lambda value: 255 - value)
        .getbbox()
    )
    assert box == (59, 236 - 180, 59 + 472, 236 - 180 + 6)


def test_parts_may_touch_but_not_by_a_dot_cover(tmp_path):
    """The symbol's lowest row of dots is number 142: it begins at row 24 and is 119 high."""
    line = "[[line]]\nat = [5, {}]\nwidth = 40\nheight = 0.5"
    plain(tmp_path, line.format(143 * 25.4 / 300))
    with pytest.raises(UsageError, match="cover each other"):
        plain(tmp_path, line.format(142 * 25.4 / 300))


def test_only_a_text_that_may_be_shortened_is(tmp_path):
    text = '[[text]]\ntext = "A very long title {code}"\nat = [2, 15]\nwidth = 30\nletter = 3\n'
    with pytest.raises(UsageError, match="does not fit into 1 line"):
        plain(tmp_path, text)
    shortened = plain(tmp_path, text + "shorten = true")
    written = plain(tmp_path, text.replace("A very long title {code}", "A very lo..."))
    assert shortened.tobytes() == written.tobytes()


@each("name", layout_names())
def test_no_layout_shortens_a_code(name):
    layout = load_layout(name)
    for text in layout.texts:
        if text.may_shorten:
            kinds = {layout.fields[field].kind.value for field in layout.fields if f"{{{field}" in text.text}
            assert kinds == {"text"}, text.text
