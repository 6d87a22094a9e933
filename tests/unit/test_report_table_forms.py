"""One table in every form: the kind of a column decides how a person reads it, programs get what was recorded."""

import ctypes
from datetime import datetime
from io import BytesIO

import openpyxl
import pypdfium2
import pytest

from tracelink.ledger.time_words import instant, moment
from tracelink.report.format.document import Document, Section
from tracelink.report.format.document_pdf import document_pdf
from tracelink.report.format.render import render
from tracelink.report.format.shown import code_parts, on_paper, shown
from tracelink.report.format.table import Column, Kind, Loose, Signed, Table, keyed, number_of, table
from tracelink.report.format.table_csv import csv_file
from tracelink.report.format.table_page import page_table
from tracelink.report.format.table_workbook import BookStamp, workbook

COLUMNS = (
    Column("entry", "entry", Kind.NUMBER),
    Column("discs", "discs", Kind.COUNT),
    Column("off", "difference", Kind.DIFFERENCE),
    Column("chance", "chance", Kind.SHARE),
    Column("at", "packed", Kind.TIME),
    Column("late", "late by", Kind.COUNT, "min"),
    Column("whole", "exact", Kind.YES_NO),
    Column("codes", "cartons", Kind.TEXT),
)
ROW = {
    "entry": 14152,
    "discs": 14152,
    "off": -1400,
    "chance": 0.125,
    "at": "2031-03-05T20:22:07.500+01:00",
    "late": 1500,
    "whole": True,
    "codes": ("K1", "K2"),
}
TABLE = table("packed", "What was packed", COLUMNS, [ROW], foot=[{"entry": "together", "discs": 14152}])


def cell(key, value, form=shown):
    return form(value, next(column for column in COLUMNS if column.key == key))


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("entry", "14152"),
        ("discs", "14\u202f152"),
        ("off", "−1\u202f400"),
        ("chance", "12 %"),
        ("at", "2031-03-05 20:22 +01:00"),
        ("late", "1\u202f500"),
        ("whole", "yes"),
        ("codes", "K1, K2"),
    ],
)
def test_a_person_reads_each_kind_in_one_form(key, said):
    assert cell(key, ROW[key]) == said


def test_marks_on_single_numbers():
    assert cell("discs", Signed(1400)) == "+1\u202f400"
    assert cell("discs", Loose(1400)) == "1\u202f400*"
    # To a program they are the numbers they are.
    assert render([{"discs": Loose(1400)}], [COLUMNS[1]], "json") == '[\n  {\n    "discs": 1400\n  }\n]\n'
    assert render([{"discs": Signed(1400)}], [COLUMNS[1]], "csv") == "discs\n1400\n"


def test_what_is_not_known_is_a_dash_on_paper_and_white_on_a_screen():
    assert cell("discs", None) == ""
    assert cell("discs", None, on_paper) == "–"


def test_a_time_breaks_behind_its_date_only():
    assert cell("at", ROW["at"], on_paper) == "2031-03-05 20:22\u00a0+01:00"
    assert cell("at", ["not yet", ROW["at"]], on_paper) == "not yet, 2031-03-05 20:22 +01:00"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2031-03-05T19:22:07Z", "2031-03-05 19:22 UTC"),
        ("2031-03-05T20:22:07+01:00", "2031-03-05 20:22 +01:00"),
        ("not yet", "not yet"),
        ("2031-03-05", "2031-03-05"),
        ("2031-13-45T20:22:07Z", "2031-13-45T20:22:07Z"),
        ("2031-03-05T20:22:07", "2031-03-05T20:22:07"),
        ("", ""),
    ],
)
def test_a_time_is_shown_to_the_minute_and_other_text_as_it_is(text, said):
    assert moment(text) == said


def test_only_a_whole_time_with_offset_is_a_time():
    assert instant("2031-03-05T20:22:07.5+01:00") == datetime.fromisoformat("2031-03-05T19:22:07.5+00:00")
    assert instant("2031-03-05T20:22:07") is None


def test_csv_keeps_what_was_recorded():
    assert csv_file(TABLE).decode() == (
        "entry,discs,off,chance,at,late,whole,codes\n"
        '14152,14152,-1400,0.125,2031-03-05T20:22:07.500+01:00,1500,yes,"K1, K2"\n'
    )


def test_columns_are_chosen_by_their_keys():
    assert TABLE.select("discs", "entry").rows == ((14152, 14152),)
    assert [column.key for column in TABLE.without("codes", "at", "off").columns] == [
        "entry", "discs", "chance", "late", "whole",
    ]  # fmt: skip
    assert TABLE.foot == (("together", 14152, "", "", "", "", "", ""),)
    assert TABLE.first(0) == Table("packed", "What was packed", COLUMNS, ())
    assert TABLE.records() == [ROW]
    with pytest.raises(ValueError, match="colour"):
        TABLE.select("colour")


def test_two_columns_of_one_title_have_two_keys():
    assert [one.key for one in keyed((("its strokes", Kind.CODE), ("its strokes", Kind.CODE)))] == [
        "its_strokes",
        "its_strokes_2",
    ]
    assert number_of([1, 2, "any", None]) == 3


class TestWorkbook:
    def sheet(self, rows):
        made = workbook(
            [table("packed", "", COLUMNS, rows)], BookStamp("x", "2031-03-05T20:00:00+01:00", "A & B")
        )
        return openpyxl.load_workbook(BytesIO(made))["packed"]

    def test_times_are_dates_of_the_offset_that_the_heading_names(self):
        summer = {**ROW, "at": "2031-07-05T20:22:07+02:00"}
        sheet = self.sheet([ROW, summer, {**ROW, "at": "not yet"}])
        assert [cell.value for cell in sheet["E"]] == [
            "packed (UTC+01:00)",
            datetime.fromisoformat("2031-03-05T20:22:07"),
            datetime.fromisoformat("2031-07-05T19:22:07"),
            "not yet",
        ]
        assert sheet["E2"].is_date
        assert sheet["E2"].number_format == "yyyy-mm-dd hh:mm:ss"

    def test_a_single_time_in_a_list_is_a_date_too(self):
        sheet = self.sheet([{**ROW, "at": ["2031-03-05T20:22:07+01:00"]}])
        assert sheet["E2"].is_date

    def test_numbers_have_the_form_of_their_kind(self):
        sheet = self.sheet([ROW])
        forms = {cell.value: below.number_format for cell, below in zip(sheet[1], sheet[2], strict=True)}
        assert forms["entry"] == "0"
        assert forms["discs"] == forms["late by, min"] == "#,##0"
        assert forms["difference"] == "+#,##0;-#,##0;±0"
        assert forms["chance"] == "0.0 %"
        assert [cell.value for cell in sheet[2]][:4] == [14152, 14152, -1400, 0.125]
        assert sheet["G2"].value == "yes"

    def test_its_properties_are_in_utc_and_its_footer_is_printed_as_it_is(self):
        made = workbook([TABLE], BookStamp("x", "2031-03-05T20:00:00+01:00", "A & B"))
        book = openpyxl.load_workbook(BytesIO(made))
        assert book.properties.created.isoformat() == "2031-03-05T19:00:00"
        assert book["packed"].oddFooter.left.text == "A && B"
        assert made == workbook([TABLE], BookStamp("x", "2031-03-05T20:00:00+01:00", "A & B"))


class TestPage:
    def test_cells_are_escaped_and_aligned(self):
        made = page_table(table("", "<b>", COLUMNS, [{**ROW, "codes": ("<i>", "\x1b[2J")}]))
        assert "<caption>&lt;b&gt;</caption>" in made
        assert '<td class="w">&lt;i&gt;, \\x1b[2J</td>' in made
        assert '<td class="n">14\u202f152</td>' in made
        assert '<th scope="col" class="n">late by, min</th>' in made

    def test_a_table_without_rows_is_a_sentence(self):
        assert page_table(table("", "Holds", COLUMNS, [], "None.")) == "<p><b>Holds:</b> None.</p>\n"


class TestNarrowScreen:
    def test_a_table_that_fits_is_a_table(self):
        lines = render([ROW], COLUMNS, "table", width=120).splitlines()
        assert lines[0].split() == ["entry", "discs", "difference", "chance", "packed", "late", "by,", "min", "exact", "cartons"]  # fmt: skip
        assert len(lines) == 3

    def test_one_that_does_not_is_a_block_of_lines_per_row(self):
        text = render(
            [ROW, {**ROW, "entry": 7, "off": None, "codes": "word " * 12}], COLUMNS, "table", width=40
        )
        assert text == (
            "entry:        14152\n"
            "discs:        14\u202f152\n"
            "difference:   −1\u202f400\n"
            "chance:       12 %\n"
            "packed:       2031-03-05 20:22 +01:00\n"
            "late by, min: 1\u202f500\n"
            "exact:        yes\n"
            "cartons:      K1, K2\n"
            "\n"
            "entry:        7\n"
            "discs:        14\u202f152\n"
            "chance:       12 %\n"
            "packed:       2031-03-05 20:22 +01:00\n"
            "late by, min: 1\u202f500\n"
            "exact:        yes\n"
            "cartons:      word word word word word\n"
            "              word word word word word\n"
            "              word word\n"
        )

    def test_an_empty_table_that_does_not_fit_is_no_row_of_headings(self):
        assert render([], COLUMNS, "table", width=20) == "(no rows)\n"

    def test_what_does_not_go_to_a_screen_keeps_its_columns(self, monkeypatch):
        monkeypatch.setenv("COLUMNS", "40")
        assert render([ROW], COLUMNS, "table").splitlines()[0].startswith("entry  ")

    def test_a_stream_without_small_spaces_gets_plain_ones(self):
        text = render([ROW], COLUMNS, "table", width=120, encoding="ascii")
        assert text.isascii()
        assert "14 152" in text
        assert "-1 400" in text


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        ("", []),
        ("T001030Y", ["T001030Y"]),
        ("carton 095207770000012345 of L0047012, 25 discs", ["095207770000012345", "L0047012"]),
        ("2.3.T0010300 9520777000016", ["9520777000016"]),
        # Neither counts, nor times, nor words.
        ("12345678 discs, 2031-03-04 09:00 +01:00, EX-101-A1, STATION1234567X", []),
    ],
)
def test_codes_in_a_text_are_told_from_its_words(words, codes):
    parts = code_parts(words)
    assert [part for is_code, part in parts if is_code] == codes
    assert "".join(part for _is_code, part in parts) == words


def test_codes_stand_in_the_code_font_on_pages_and_sheets():
    found = table(
        "",
        "Cartons",
        [Column("code", "code"), Column("why", "why", Kind.TEXT)],
        [("T001030O", "<b> of T001031I")],
    )
    page = page_table(found)
    assert "<code>T001030O</code>" in page
    assert "&lt;b&gt; of <code>T001031I</code>" in page
    pdf = pypdfium2.PdfDocument(document_pdf(Document("k", "t", "i", "f", (Section("s", (found,)),))))
    text = pdf[0].get_textpage()
    fonts = {}
    for place in range(text.count_chars()):
        name = ctypes.create_string_buffer(64)
        pypdfium2.raw.FPDFText_GetFontInfo(text.raw, place, name, 64, None)
        fonts.setdefault(name.value.decode(), []).append(text.get_text_range(place, 1))
    pdf.close()
    [mono] = ["".join(each) for font, each in fonts.items() if "Mono" in font]
    assert "".join(mono.split()) == "T001030OT001031I"
