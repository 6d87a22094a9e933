"""Rows as table, json and csv: nothing scanned acts on a terminal or a spreadsheet, and nothing gets lost."""

import ast
import csv
import io
import json

import pytest

from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted, grouped, signed
from tracelink.report.format.plain import can_draw, imprint, percent, size_of, visible
from tracelink.report.format.render import FORMATS, Column, Kind, render

COLUMNS = (
    Column("code", "Code"),
    Column("discs", "Discs", Kind.COUNT),
    Column("title", "Title", Kind.TEXT),
)
HOSTILE = "<script>&\x1b[31m\x1d[bold]\u202egnp\x00"
ROWS = [
    {"code": "K0001427", "discs": 98, "title": "Paper Comet Arithmetic"},
    {"code": "952000000000000004", "discs": -3, "title": HOSTILE},
    {"code": "L2", "discs": None, "title": ""},
]


def read_back(text):
    """Undo what the csv form does, by its own description."""
    rows = list(csv.reader(io.StringIO(text)))
    return [
        [ast.literal_eval(f'"{cell.replace(chr(34), chr(92) + chr(34))}"') for cell in row] for row in rows
    ]


def test_a_table_shows_scanned_text_and_obeys_none_of_it():
    text = render(ROWS, COLUMNS, "table", width=100)
    assert r"<script>&\x1b[31m\x1d[bold]\u202egnp\x00" in text
    assert all(character.isprintable() for line in text.splitlines() for character in line)


def test_numbers_stand_on_the_right():
    lines = render(ROWS, COLUMNS, "table", width=100).splitlines()
    ends = {
        line.find(number) + len(number) for line in lines for number in ("98", "-3") if f" {number} " in line
    }
    assert len(ends) == 1
    assert lines[0].find("Discs") + len("Discs") in ends


def test_no_code_is_broken_however_narrow_the_screen():
    text = render(ROWS, COLUMNS, "table", width=20)
    assert "952000000000000004" in text
    assert "K0001427" in text
    assert "…" not in text


def test_long_text_wraps_between_words_within_the_screen():
    rows = [{"code": "K1", "discs": 1, "title": "word " * 40}]
    lines = render(rows, COLUMNS, "table", width=60).splitlines()
    assert len(lines) > 5
    assert max(len(line) for line in lines) <= 60


def test_a_stream_without_line_characters_gets_ascii():
    rows = [ROWS[0]]
    assert render(rows, COLUMNS, "table", width=60, encoding="ascii").isascii()
    assert "─" in render(rows, COLUMNS, "table", width=60)


def test_an_empty_table_says_so():
    assert "(no rows)" in render([], COLUMNS, "table", width=60)
    assert render([], COLUMNS, "csv") == "code,discs,title\n"
    assert render([], COLUMNS, "json") == "[]\n"


def test_json_round_trips_in_column_order_and_is_ascii():
    text = render(ROWS, COLUMNS, "json")
    assert json.loads(text) == ROWS
    assert [list(row) for row in json.loads(text)] == [["code", "discs", "title"]] * 3
    assert text.isascii()


def test_csv_round_trips():
    text = render(ROWS, COLUMNS, "csv")
    expected = [["" if cell is None else str(cell) for cell in row.values()] for row in ROWS]
    assert read_back(text) == [["code", "discs", "title"], *expected]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@sum", "\t=1", "\r=1", "'=1"])
def test_csv_disarms_formulas_in_text(text):
    (_, (cell,)) = csv.reader(io.StringIO(render([{"t": text}], [Column("t", "T")], "csv")))
    assert cell == "'" + visible(text)


@pytest.mark.parametrize("value", ["1=1", "'Round", "a-b", "", -1, 0.5])
def test_csv_leaves_the_rest_alone(value):
    text = render([{"t": value}], [Column("t", "T")], "csv")
    assert text.splitlines()[1].strip('"') == str(value)


def test_lists_and_booleans_are_plain():
    rows = [{"a": ["x", "y"], "b": True}]
    columns = [Column("a", "A"), Column("b", "B")]
    assert render(rows, columns, "csv") == 'a,b\n"x, y",yes\n'
    assert json.loads(render(rows, columns, "json")) == [{"a": ["x", "y"], "b": True}]


def test_keys_without_a_column_are_left_out_and_a_missing_key_is_a_bug():
    assert render([{"a": 1, "b": 2}], [Column("a", "A")], "csv") == "a\n1\n"
    with pytest.raises(KeyError):
        render([{"b": 2}], [Column("a", "A")], "csv")


def test_an_unknown_format_is_named():
    with pytest.raises(UsageError) as caught:
        render([], COLUMNS, "xml")
    assert str(caught.value) == "format 'xml' is unknown: expected one of table, json, csv"
    assert FORMATS == ("table", "json", "csv")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Ωmega, naïve 東京", "Ωmega, naïve 東京"),
        ("a\x1db", r"a\x1db"),
        ("\x9b31m", r"\x9b31m"),
        ("\u200e\u2066", r"\u200e\u2066"),
        ("\ud800", r"\ud800"),
        ("\uffff", r"\uffff"),
        ("\U000e0041", r"\U000e0041"),
        ("a\\x1db", r"a\\x1db"),
    ],
)
def test_what_cannot_be_seen_is_shown_by_its_number(text, shown):
    assert visible(text) == shown


def test_numbers_for_a_page():
    assert (grouped(1234567), grouped(12), grouped(-1234)) == ("1\u202f234\u202f567", "12", "−1\u202f234")
    assert (signed(0), signed(3), signed(-3)) == ("±0", "+3", "−3")
    assert (counted(1, "disc"), counted(2, "disc"), counted(2, "box", "boxes")) == (
        "1 disc",
        "2 discs",
        "2 boxes",
    )


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (0, "0 bytes"),
        (999, "999 bytes"),
        (1000, "1.0 kB"),
        (9_940, "9.9 kB"),
        (13_279_232, "13 MB"),
        (82_163_449_856, "82 GB"),
        (5 * 10**15, "5000 TB"),
    ],
)
def test_a_size_is_told_in_its_largest_unit(count, said):
    assert size_of(count) == said


@pytest.mark.parametrize(
    ("chance", "shown"),
    [(None, "unknown"), (0.0, "0 %"), (0.001, "< 1 %"), (0.5, "50 %"), (0.9999, "> 99 %"), (1.0, "100 %")],
)
def test_a_chance_is_never_rounded_to_nothing_or_to_certainty(chance, shown):
    assert percent(chance) == shown


def test_the_imprint_names_the_head_and_the_time():
    at = "2031-03-05T14:02:11+01:00"
    assert imprint((1234, "ab" * 32), at) == (
        f"Records up to entry 1234, journal head {'ab' * 4}…. Printed 2031-03-05 14:02 +01:00."
    )
    assert "ab" * 32 in imprint((1234, "ab" * 32), at, whole=True)
    assert "journal head none" in imprint((0, ""), at)


def test_an_unknown_encoding_counts_as_ascii():
    assert not can_draw(None, "─")
    assert not can_draw("no-such-encoding", "─")
    assert can_draw("utf-8", "─")
