"""Bars that no reader read are told of; letters, lines and what was read are not taken for such."""

import random

import pytest
from PIL import Image, ImageDraw, ImageFilter
from support_cli import run
from support_drawn import draw_label
from support_each import each
from support_printing import DATA

from tracelink.datadir import data_dir
from tracelink.devices import images
from tracelink.devices.images import read_image
from tracelink.devices.unread_bars import read_picture_file, unread_bars
from tracelink.identity.gs1.aitable import SEPARATOR
from tracelink.identity.rawlines import raw_picture, read_picture
from tracelink.identity.reading import LogisticRead, read_scan
from tracelink.printing.layout import layout_names, load_layout

UPPER = (0, 560, 1678, 835)
"""Where the upper symbol of a carton label is, in dots of 203 to the inch."""


def carton():
    return draw_label(load_layout("carton-label"), DATA["carton-label"], 203).convert("L")


def scratched(image, fill):
    ImageDraw.Draw(image).rectangle((400, UPPER[1], 425, UPPER[3]), fill=fill)
    return image


def blurred(image):
    image.paste(image.crop(UPPER).filter(ImageFilter.GaussianBlur(4)), UPPER)
    return image


def dirty(image):
    pen, chance = ImageDraw.Draw(image), random.Random(1)
    for _ in range(400):
        x, y = chance.randrange(UPPER[2]), chance.randrange(UPPER[1], UPPER[3])
        pen.ellipse((x - 8, y - 8, x + 8, y + 8), fill=chance.choice((0, 255)))
    return image


SPOILED = {
    "a white scratch": lambda: scratched(carton(), 255),
    "a black scratch": lambda: scratched(carton(), 0),
    "blurred": lambda: blurred(carton()),
    "dirty": lambda: dirty(carton()),
    "turned by a quarter": lambda: scratched(carton(), 255).rotate(90, expand=True),
    "held askew": lambda: scratched(carton(), 255).rotate(3, fillcolor=255, expand=True),
    "from far away": lambda: scratched(carton(), 255).resize((839, 591)),
    "from close by": lambda: scratched(carton(), 255).resize((3356, 2366)),
}


@pytest.mark.parametrize("how", SPOILED)
def test_a_symbol_that_does_not_read_is_seen_beside_one_that_does(how):
    image = SPOILED[how]()
    reads = images._zxing(images.grey(image))
    assert [read.line[:5] for read in reads] == ["]C100"]
    assert unread_bars(image, reads) >= 1


@pytest.mark.parametrize(("how", "missed"), [("a white scratch", 1), (None, 0)])
def test_a_station_is_handed_what_was_read_and_how_much_was_not(tmp_path, how, missed):
    file = tmp_path / "carton.png"
    (carton() if how is None else SPOILED[how]()).save(file)
    lines, places = read_picture_file(file)
    assert (lines == read_image(file), places) == (True, missed)
    shown = read_picture(raw_picture(file.name, lines, places))
    assert (shown.lines, shown.unread) == (tuple(lines), missed)


@each("name", layout_names())
@each("dpi", [203, 300])
def test_nothing_is_seen_on_a_label_that_reads(name, dpi):
    layout = load_layout(name)
    image = draw_label(layout, layout.example, dpi)
    assert unread_bars(image, images._zxing(images.grey(image))) == 0


def test_nothing_is_seen_on_blank_paper_and_on_pictures_smaller_than_a_cell():
    assert [unread_bars(Image.new("L", size, 255), []) for size in ((900, 900), (10, 10), (1, 400))] == [
        0
    ] * 3


def test_a_label_of_which_one_symbol_reads_says_so(tmp_path):
    whole, half = tmp_path / "whole.png", tmp_path / "half.png"
    carton().save(whole)
    scratched(carton(), 255).save(half)
    read = run("label", "read", whole)
    assert (read.code, read.err) == (0, "")
    told = run("label", "read", half)
    assert told.code == 1
    assert told.out.count("\n") == 1
    assert told.err == (
        f"{half}: 1 symbol read, and bars in 1 place that could not be read. Take the picture again, or scan the label.\n"
    )


def test_what_is_printed_is_what_a_scanner_sends():
    """So that the lines can be piped into a station: without its separator a count runs into the lot behind it."""
    picture = data_dir("labels") / "preview" / "carton-label.png"
    *lines, end = run("label", "read", picture).out.split("\n")
    assert (lines, end) == (read_image(picture), "")
    assert SEPARATOR in lines[0]
    example = load_layout("carton-label").example
    read = read_scan(lines[0])
    assert isinstance(read, LogisticRead)
    assert (str(read.count), read.lot) == (example["count"], example["lot"])
