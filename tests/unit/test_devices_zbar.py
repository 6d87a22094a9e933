"""zbar without repeated rows finds what zbar finds in the whole picture."""

import random

from PIL import Image, ImageFilter
from pyzbar import pyzbar
from support_drawn import draw_label
from support_each import each
from support_printing import (
    DATA,
    GTIN,
    SHORT_GTIN,
    code,
    draw_code128,
    draw_ean8,
    draw_ean13,
    draw_gs1_128,
    on_paper,
)

from tracelink.devices.images import grey
from tracelink.devices.zbar import read_linear, without_repeats
from tracelink.printing.layout import layout_names, load_layout

TEXT = code("K", 1427)


def whole(image):
    kinds = pyzbar.ZBarSymbol
    symbols = [kinds.CODE128, kinds.EAN13, kinds.EAN8]
    return {(symbol.type, symbol.data) for symbol in pyzbar.decode(image, symbols=symbols)}


def rows_of(image):
    return [image.crop((0, y, image.width, y + 1)).tobytes() for y in range(image.height)]


@each("rows", range(1, 8))
@each("turn", [0, 90])
def test_an_ean_is_believed_from_three_lines_on_and_a_code_128_from_one(rows, turn):
    """What the leaving out rests on, measured: two rows are not enough for an EAN-13, three are."""
    thin = draw_code128(TEXT, 300, 0.33, 10, caption=False).convert("L")
    image = on_paper(thin.resize((thin.width, rows), 0)).rotate(turn, expand=True)
    assert whole(image) == read_linear(image) == {("CODE128", TEXT.encode())}
    thin = draw_ean13(GTIN, 300, 0.33, 22.85, caption=False).convert("L")
    image = on_paper(thin.resize((thin.width, rows), 0)).rotate(turn, expand=True)
    expected = {("EAN13", GTIN.encode())} if rows >= 3 else set()
    assert whole(image) == read_linear(image) == expected


def test_repeated_rows_are_left_out_and_no_others():
    pixels = [0] * 6 + [255] * 2 + [0] * 5
    image = Image.new("L", (3, len(pixels)))
    image.putdata([value for value in pixels for _ in range(3)])
    assert [row[0] for row in rows_of(without_repeats(image))] == [0] * 4 + [255] * 2 + [0] * 4


@each("name", layout_names())
def test_the_same_is_found_on_every_label(name):
    label = draw_label(load_layout(name), DATA[name], 203).convert("L")
    for turn in (0, 90, 180):
        turned = label.rotate(turn, expand=True)
        assert read_linear(turned) == whole(turned)


def test_the_same_is_found_in_photographs():
    """Turned, blurred, noisy and torn pictures: also what neither finds must be the same."""
    chance = random.Random(20310303)
    found = 0
    for _ in range(30):
        symbol = chance.choice(
            [
                draw_code128(code("L", chance.randint(1, 999_999)), 300, 0.25, 8),
                draw_ean13(GTIN, 300, 0.33, 22.85),
                draw_ean8(SHORT_GTIN, 300, 0.33, 18.23),
                draw_gs1_128([("10", "L000123S"), ("21", "7")], 203, 0.495, 31.75),
            ]
        )
        image = on_paper(symbol).rotate(chance.uniform(-6, 6), expand=True, fillcolor=255)
        image = image.filter(ImageFilter.GaussianBlur(chance.uniform(0, 2.5)))
        noise = Image.effect_noise(image.size, chance.uniform(1, 60))
        image = grey(Image.blend(image, noise, chance.uniform(0, 0.4)))
        expected = whole(image)
        assert read_linear(image) == expected
        found += bool(expected)
    assert 10 <= found < 30, "the pictures are neither all easy nor all hopeless"
