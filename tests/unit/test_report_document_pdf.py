"""The PDF of a scope: the same words and pictures as the page, the same bytes each time, no boxes for letters."""

import re
from dataclasses import replace
from io import BytesIO
from itertools import pairwise

import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas
from support_report import pallet, real_lot
from support_scope import scope_doc, titled

from tracelink.genealogy.model.facts import ToolFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.report.format.document import BigFigures, Bullets, FactList, FramedNote, Section, TextBlock
from tracelink.report.format.document_pdf import document_pdf
from tracelink.report.format.pdf_text import BOLD, MONO, RUNNING, FontRun, Setter
from tracelink.report.format.shown import on_paper
from tracelink.report.format.svg import el, path
from tracelink.report.format.svg_pdf import SvgFlowable
from tracelink.report.format.table import Table


def sheets(data):
    pdf = pypdfium2.PdfDocument(data)
    try:
        return [page.get_textpage().get_text_bounded() for page in pdf]
    finally:
        pdf.close()


def squeezed(text):
    """Without spaces, hyphens of line ends and the soft ones pypdfium2 reports: words are broken over lines."""
    return re.sub(r"[\s\u00a0\u202f\ufffe\u00ad]+", "", text)


@pytest.fixture(scope="module")
def sections():
    return scope_doc()[1]


@pytest.fixture(scope="module")
def printed(sections):
    return sheets(document_pdf(sections))


def test_every_sheet_has_head_time_and_number(printed):
    for number, text in enumerate(printed, 1):
        assert squeezed("Records up to entry 12345, journal head 3f9a17c23f9a17c2") in squeezed(text)
        assert "Printed 2031-03-14 16:05 +01:00" in text
        assert f"Sheet {number} of {len(printed)}" in text


def test_what_figures_count_stands_right_below_each_of_them(sections):
    """Also where the words under one of them take two lines."""
    long = "discs in cartons that may hold one, and not accounted for by anybody"
    figures = BigFigures((("12", "consignees"), ("345", "answers"), ("6", "returns"), ("78", long)))
    pdf = pypdfium2.PdfDocument(document_pdf(replace(sections, sections=(Section("Open", (figures,)),))))
    text = pdf[0].get_textpage()
    tops = {text.get_charbox(text.search(word).get_next()[0])[3] for word in ("consignees", "cartons")}
    pdf.close()
    assert max(tops) - min(tops) < 2


def test_the_pdf_says_all_that_the_page_says(sections, printed):
    text = squeezed("".join(printed))
    wanted = [sections.title, *(section.title for section in sections.sections)]
    for section in sections.sections:
        for block in section.blocks:
            if isinstance(block, TextBlock | FramedNote):
                wanted.append(block.text)
            elif isinstance(block, Bullets):
                wanted += block.items
            elif isinstance(block, FactList):
                wanted += [part for pair in block.pairs for part in pair]
            elif isinstance(block, Table) and block.rows:
                wanted.append(block.caption)
                wanted += [
                    on_paper(cell, column)
                    for row in (*block.rows, *block.foot)
                    for cell, column in zip(row, block.columns, strict=True)
                ]
    assert len(wanted) > 200
    # What goes on on the next sheet has the foot of the sheet in between.
    missing = [words for words in wanted if squeezed(words) not in text and len(words) < 200]
    assert missing == []


def test_pictures_are_drawn_with_their_words(printed):
    text = squeezed("".join(printed))
    for words in (
        "The life of stamper T0000101",
        "proven 801-1020",
        "affected at least",
        "samples: 6 good, 1 BAD",
    ):
        assert squeezed(words) in text


def test_the_same_document_gives_the_same_bytes(sections):
    assert document_pdf(sections) == document_pdf(scope_doc()[1])


def test_names_with_accents_and_other_alphabets_are_printed():
    _, sections = scope_doc(titled("Žluťoučký kůň – Ångström Ωμέγα Ёлка ő ß Łódź"))
    text = "".join(sheets(document_pdf(sections)))
    assert "Žluťoučký" in text
    assert "Ωμέγα" in text
    assert "Ёлка" in text
    assert "cannot print" not in text


def test_what_no_font_has_is_shown_by_number_and_named():
    _, sections = scope_doc(titled("東 שלום"))
    text = squeezed("".join(sheets(document_pdf(sections))))
    assert squeezed("Characters that this PDF cannot print stand as their numbers") in text
    assert squeezed("shows them: \\u6771 (CJK UNIFIED IDEOGRAPH-6771)") in text
    assert squeezed("\\u05e9 (HEBREW LETTER SHIN)") in text


@pytest.mark.parametrize("title", ["<b>x</b> & <script>", "a\x1b[2J\u202eb", "x" * 300, "=1+1 \\ back"])
def test_hostile_titles_do_nothing(title):
    records = titled(title)
    text = squeezed("".join(sheets(document_pdf(scope_doc(records)[1]))))
    shown = {"a\x1b[2J\u202eb": "a\\x1b[2J\\u202eb", "=1+1 \\ back": "=1+1\\\\back"}.get(title, title)
    assert squeezed(shown)[:40] in text


@pytest.mark.parametrize(
    ("cause", "shape"),
    [
        ("T0000021", Shape.FROM_ONSET),
        ("C0000007", Shape.INTERMITTENT),
        (pallet(2), Shape.WHOLE_LIFE),
        ("W0000031", Shape.FROM_ONSET),
    ],
)
def test_every_kind_of_cause_has_a_pdf(cause, shape):
    found = sheets(document_pdf(scope_doc(cause=cause, shape=shape)[1]))
    assert cause in found[0]
    assert any("12. For the authorised person" in text for text in found)


def test_a_tool_that_pressed_nothing_has_a_pdf():
    records = real_lot()
    records.tools.append(ToolFact("T0000900", "stamper", "T0000021", "EX-101-A S9", "A", "in store"))
    text = " ".join(" ".join(sheets(document_pdf(scope_doc(records, "T0000900")[1]))).split())
    assert "No disc that it touched is in the records." in text
    assert "Nothing further was found in the records up to entry" in text


def test_a_text_longer_than_a_sheet_goes_on_on_the_next():
    """A table row, a fact and a heading of hundreds of words: nobody should, and nothing is lost."""
    words = " ".join(f"word{number}" for number in range(900))
    text = "".join(sheets(document_pdf(scope_doc(titled(words))[1])))
    assert all(text.count(f"word{number}") >= 2 for number in (0, 450, 899))


def test_a_mother_of_many_untested_stampers_fits_the_sheets():
    records = real_lot()
    records.tools += [
        ToolFact(f"T{number:07d}", "stamper", "T0000021", "EX-101-A", "A", "in store")
        for number in range(1000, 1400)
    ]
    text = squeezed("".join(sheets(document_pdf(scope_doc(records)[1]))))
    assert squeezed("T0001011 and 388 more") in text
    assert squeezed("375 more of these; the JSON has every one.") in text


class TestSetter:
    def test_runs_change_font_only_where_the_letter_is_missing(self):
        setter = Setter()
        assert setter.runs("Café őr", RUNNING) == [
            FontRun(RUNNING, "Café "),
            FontRun(MONO, "ő"),
            FontRun(RUNNING, "r"),
        ]
        assert setter.runs("ж", BOLD) == [FontRun(MONO, "ж")]
        assert setter.sentence() == ""

    def test_a_letter_in_two_parts_is_put_together(self):
        assert Setter().runs("e\u0301", RUNNING) == [FontRun(RUNNING, "é")]

    def test_markup_is_escaped(self):
        assert Setter().markup("<b> & ж", RUNNING) == f'&lt;b&gt; &amp; <font name="{MONO}">ж</font>'


class TestPictures:
    def test_an_element_that_is_not_known_is_a_fault_and_no_hole(self):
        svg = el("svg", {"xmlns": "http://www.w3.org/2000/svg", "width": 10, "height": 10}, el("ellipse", {}))
        with pytest.raises(KeyError):
            drawn(svg)

    def test_an_arc_the_other_way_is_a_fault(self):
        inside = path("M0,0a5,5 0 0 0 5,5")
        with pytest.raises(ValueError, match="arc with flags 0 0"):
            drawn(el("svg", {"xmlns": "http://www.w3.org/2000/svg", "width": 10, "height": 10}, inside))

    def test_marks_stand_where_the_svg_has_them(self):
        """A black square in the lower right quarter of the picture is there on the sheet, and nowhere else."""
        square = el("rect", {"x": 60, "y": 60, "width": 40, "height": 40, "fill": "#000000"})
        data = drawn(el("svg", {"xmlns": "http://www.w3.org/2000/svg", "width": 100, "height": 100}, square))
        pdf = pypdfium2.PdfDocument(data)
        image = pdf[0].render(scale=1).to_pil().convert("L")
        pdf.close()
        # 75 points wide, drawn at (10, 10) of a sheet of 100.
        assert image.getpixel((10 + 60, 100 - 10 - 15)) < 50
        assert image.getpixel((10 + 20, 100 - 10 - 15)) > 200
        assert image.getpixel((10 + 60, 100 - 10 - 60)) > 200

    def test_letters_with_a_white_rim_are_black_and_break_the_line_behind_them(self):
        line = el("line", {"x1": 50, "y1": 0, "x2": 50, "y2": 100, "stroke": "#000000", "stroke_width": 2})
        rim = {"stroke": "#FFFFFF", "stroke_width": 6, "paint_order": "stroke"}
        word = el("text", {"x": 20, "y": 60, "font_size": 30, **rim}, "IIII")
        image = rendered(el("svg", {**SIZE, "width": 100, "height": 100}, line, word))

        def ink(x, y):
            return image.getpixel((round(4 * (10 + 0.75 * x)), round(4 * (15 + 0.75 * y)))) < 128

        assert any(ink(x / 4, 50) for x in range(80, 180)), "letters"
        assert ink(50, 20), "the line above them"
        across = [ink(x / 4, 50) for x in range(80, 400)]
        assert 4 <= sum(a != b for a, b in pairwise(across)) <= 9, "letters apart, nothing between them"

    def test_a_rounded_box_closes(self):
        """The four arcs of a box meet: ink on all four sides, none in the middle."""
        arcs = "M20,10h60a10,10 0 0 1 10,10v60a10,10 0 0 1 -10,10h-60a10,10 0 0 1 -10,-10v-60a10,10 0 0 1 10,-10z"
        box = path(arcs, stroke_width=4)
        image = rendered(el("svg", {**SIZE, "width": 100, "height": 100}, box))

        def ink(x, y):
            return image.getpixel((round(4 * (10 + 0.75 * x)), round(4 * (90 - 75 + 0.75 * y)))) < 128

        assert all(ink(x, y) for x, y in ((50, 10), (50, 90), (10, 50), (90, 50), (12.9, 12.9), (87.1, 87.1)))
        assert not ink(50, 50)
        assert not ink(10.2, 10.2), "the corner is round"


SIZE = {"xmlns": "http://www.w3.org/2000/svg"}


def rendered(svg):
    """The sheet of `drawn`, four pixels a point."""
    pdf = pypdfium2.PdfDocument(drawn(svg))
    image = pdf[0].render(scale=4).to_pil().convert("L")
    pdf.close()
    return image


def drawn(svg):
    out = BytesIO()
    canvas = Canvas(out, pagesize=(100, 100), invariant=1)
    picture = SvgFlowable(svg, Setter(), 500)
    picture.wrap(500, 500)
    picture.drawOn(canvas, 10, 10)
    canvas.save()
    return out.getvalue()


@pytest.mark.parametrize("above", range(23, 28))
def test_no_line_of_a_text_stands_alone_on_a_sheet(sections, above):
    """Wherever the sheet ends: a text of three lines stays together."""
    blocks = (*(TextBlock("short") for _ in range(above)), TextBlock("begin " + "word " * 60 + "end"))
    pages = sheets(document_pdf(replace(sections, sections=(Section("Only this", blocks),))))
    assert "end" in "".join(pages)
    for page in pages:
        lines = [line for line in page.splitlines() if line.startswith(("begin", "word", "end"))]
        assert len(lines) != 1
