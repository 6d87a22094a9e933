"""Pages for readers who see little, hear them read, or hold a print in grey: what markup and colours must have.

Where a browser and axe-core are at hand, `tests/e2e/test_axe.py` asks those as well.
"""

import re
from html.parser import HTMLParser

import pytest
from support_pages import PAGES, page_of, style_of_pages

from tracelink.report.format.svg import ACCENT, ACCENT_TEXT, FAINT, INK

VOID = {"meta", "br", "rect", "path", "line", "circle"}


class Outline(HTMLParser):
    """Tags in order with their attributes, and the text of headings, captions and svg titles."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.open, self.texts = [], [], {}
        self.feed(page)

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes), tuple(self.open)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.tags.append((tag, dict(attributes), tuple(self.open)))

    def handle_endtag(self, tag):
        self.open.pop()

    def handle_data(self, data):
        if self.open:
            self.texts.setdefault(self.open[-1], []).append(data)

    def all(self, tag):
        return [attributes for name, attributes, _inside in self.tags if name == tag]


@pytest.fixture(params=PAGES, scope="module")
def outline(request):
    return Outline(page_of(request.param))


def luminance(colour):
    """Relative luminance, WCAG 2.2, definition "relative luminance" (not checked against the original text)."""
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    """Contrast ratio, WCAG 2.2, definition "contrast ratio" (not checked against the original text)."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_measure_of_contrast_is_right():
    """Black on white is 21 : 1 by definition; #767676 is the lightest grey over 4.5 : 1 (common practice)."""
    assert round(contrast("#000000", "#FFFFFF"), 2) == 21
    assert contrast("#767676", "#FFFFFF") > 4.5 > contrast("#777777", "#FFFFFF")


def test_letters_have_a_contrast_of_4_5_and_areas_of_3():
    for colour in (INK, ACCENT_TEXT, FAINT):
        assert contrast(colour, "#FFFFFF") >= 4.5
    assert contrast(ACCENT, "#FFFFFF") >= 3
    letters = re.findall(r"[{; ]color: (#[0-9A-Fa-f]{3,6})", style_of_pages())
    assert letters
    for colour in letters:
        whole = colour if len(colour) == 7 else "#" + "".join(2 * one for one in colour[1:])
        assert contrast(whole, "#FFFFFF") >= 4.5, colour


def test_loud_cells_are_black_and_underlined_in_print():
    printed = style_of_pages().partition("@media print")[2]
    assert re.search(r"\.loud \{ color: #000; text-decoration: underline; \}", printed)


def test_a_page_has_its_landmarks_once_and_in_order(outline):
    landmarks = [
        tag
        for tag, _, inside in outline.tags
        if tag in {"header", "main", "footer"} and inside == ("html", "body")
    ]
    assert landmarks == ["header", "main", "footer"]
    assert outline.all("html")[0]["lang"] == "en-GB"
    inside = {tag: path for tag, _, path in outline.tags if tag in {"section", "table", "svg", "nav"}}
    assert all("main" in path for path in inside.values())


def test_headings_go_down_one_step_at_a_time(outline):
    levels = [int(tag[1]) for tag, _, _ in outline.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert set(levels[1:]) == {2}


def test_every_part_can_be_reached_and_names_itself(outline):
    ids = [attributes["id"] for _, attributes, _ in outline.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    links = [attributes["href"] for attributes in outline.all("a")]
    assert {link.removeprefix("#") for link in links} <= set(ids)
    headed = [attributes.get("aria-labelledby") for attributes in outline.all("section")]
    assert {one for one in headed if one} <= set(ids)
    if links:
        assert len(links) == len(outline.all("h2"))


def test_tables_have_a_caption_and_heads_for_columns_and_rows(outline):
    assert outline.all("table")
    assert len(outline.all("caption")) == len(outline.all("table"))
    scopes = [attributes.get("scope") for attributes in outline.all("th")]
    assert set(scopes) == {"col", "row"}
    rows = sum(tag == "tr" for tag, _, path in outline.tags if {"tbody", "tfoot"} & set(path))
    assert scopes.count("row") == rows
    assert all(text.strip() for text in outline.texts["caption"])


def test_a_table_wider_than_a_small_screen_is_scrolled_by_key(outline):
    boxes = [attributes for attributes in outline.all("div") if attributes.get("class") == "wide"]
    assert len(boxes) == len(outline.all("table"))
    assert all(box["tabindex"] == "0" and box["aria-label"] for box in boxes)


def test_pictures_say_in_words_what_they_show(outline):
    pictures = outline.all("svg")
    assert all(one["role"] == "img" and one["aria-label"] for one in pictures)
    assert len(outline.all("figure")) == len(pictures)
    assert len(outline.all("figcaption")) == len(pictures)
    # A number that is not there has no name either: no "affected at least , at most .".
    assert not [words for words in outline.texts.get("figcaption", ()) if " ," in words or " ." in words]


def test_letters_of_a_picture_stay_seven_points_high_on_a_sheet(outline):
    """A4 landscape leaves 271 mm by 176 mm (style.css.j2): 1024 by 665 CSS pixels; a point is 4/3 of one."""
    for picture in outline.all("svg"):
        shrunk = min(1, 1024 / float(picture["width"]), 665 / float(picture["height"]))
        assert 10.5 * shrunk * 0.75 >= 7, picture["aria-label"]
