"""The verdict on the screen: big, told apart by word, mark, bell and colour, and never driven by what was scanned."""

import io
import re
from itertools import pairwise

import pytest

from tracelink.cli.common import screen
from tracelink.cli.common.big_letters import big, drawable
from tracelink.cli.common.terminal import Colours, terminal_of
from tracelink.report.format.first_instruction import first_instruction
from tracelink.station.common.outcome import LinePanel, UnitPart, Verdict, Word

SIZES = [(20, 8), (40, 15), (80, 24), (100, 30), (120, 40), (200, 60)]
BLOCKS = "\u2588\u2580\u2584"
PANEL = LinePanel(
    'EX 101 "Paper Comet Arithmetic"', "41 left on K000011T", "12 units since the last check", ""
)


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def shown(
    monkeypatch, verdict: Verdict, columns: int = 80, lines: int = 24, kind: str = "xterm", **variables: str
) -> str:
    for name, value in {"COLUMNS": columns, "LINES": lines, "TERM": kind, **variables}.items():
        monkeypatch.setenv(name, str(value))
    for name in {"NO_COLOR", "COLORTERM"} - variables.keys():
        monkeypatch.delenv(name, raising=False)
    terminal = Terminal()
    screen.show(verdict, terminal)
    return terminal.getvalue()


def plain(text: str) -> list[str]:
    return re.sub(r"\x1b\[[0-9;]*[A-Za-z]", "", text).split("\n")


def word_rows(text: str, mark: str) -> list[str]:
    """The rows between the borders, or below the only one; the word is drawn in the first rows that have blocks."""
    rows = plain(text)
    begin = next(place for place, row in enumerate(rows) if row.startswith(mark)) + 1
    end = next((place for place in range(begin, len(rows)) if not set(rows[place]) & set(BLOCKS)), len(rows))
    return rows[begin:end]


@pytest.mark.parametrize("word", list(Word))
@pytest.mark.parametrize(("columns", "lines"), SIZES)
def test_word_mark_and_instruction_are_there_on_every_size(monkeypatch, word, columns, lines):
    told = Verdict(word, "Something is so. Scan the sleeve.", "3 of 25 in carton", panel=PANEL)
    text = shown(monkeypatch, told, columns, lines, COLORTERM="truecolor")
    rows = plain(text)
    assert max(map(len, rows)) <= columns
    assert len(rows) <= lines, "the last line is the cursor's"
    assert rows[0].strip() == (screen._BORDERS[word] * columns)[:columns].strip()
    assert "48;2;" in text.split("\n")[0], "the colour"
    inked = word_rows(text, screen._BORDERS[word])
    scale = max(1, columns // 19)
    assert max(len(row.rstrip()) - (len(row) - len(row.lstrip())) for row in inked[:3]) >= 12 * scale, (
        "the word"
    )
    large = drawable("Scan the sleeve.")
    assert (
        "Scan the sleeve." in text
        or big(large, 1, 1)[0] in rows
        or big(large, 2, 2)[0] in rows
        or (big(large, 3, 3)[0] in rows)
    )


@pytest.mark.parametrize(("columns", "lines"), SIZES)
def test_every_word_has_letters_of_one_size_and_none_on_the_screen_is_larger(monkeypatch, columns, lines):
    sizes = {screen._size(columns, lines)}
    across, down = sizes.pop()
    for word in Word:
        drawn = big(word.value, across, down)
        text = plain(shown(monkeypatch, Verdict(word, "Scan the sleeve."), columns, lines))
        assert [row.strip() for row in text[1 : 1 + len(drawn)]] == [row.strip() for row in drawn]
    # The letters of an instruction are at most three characters to a column, and never as high as the word's.
    rows = plain(shown(monkeypatch, Verdict(Word.NEXT, "Scan it."), columns, lines))
    below = [row for row in rows[1 + len(drawn) :] if set(row) & set(BLOCKS)]
    assert len(below) < len(drawn) or not below


def test_the_smallest_screen_names_the_first_places_of_a_list(monkeypatch):
    told = Verdict(
        Word.NEXT, "Check these are empty: stack, magazine, sleeves, floor. Then a second person checks."
    )
    rows = " ".join(row.strip() for row in plain(shown(monkeypatch, told, 20, 8)))
    assert "Check these are empty: stack, magazine, sleeves," in rows
    told = Verdict(Word.NEXT, "Scan the sleeve. A second person checks.", "3 of 25 in carton")
    rows = plain(shown(monkeypatch, told, 20, 8))
    assert [row.strip() for row in rows if "carton" in row or "person" in row] == ["3 of 25 in carton"]


def test_what_to_do_first_is_large_and_the_whole_sentence_below_it(monkeypatch):
    told = 'Sleeve 4006 is "Moth Parliament". Put this sleeve aside and scan STOP or the right sleeve. More.'
    rows = plain(shown(monkeypatch, Verdict(Word.STOP, told, "1 of 5 in carton"), 120, 40))
    assert any(big("PUT THIS SLEEVE ASIDE", 1, 1)[0] in row for row in rows)
    assert told in "\n".join(rows)
    assert "1 of 5 in carton" in rows


@pytest.mark.parametrize(
    ("sentence", "below"),
    [
        ("Put the disc back. One unit to re-check.", ["Put the disc back.", "One unit to re-check."]),
        ('"Moth Parliament". Now its sleeve.', ["Now its sleeve.", '"Moth Parliament".']),
        ("Carton is full: scan CLOSE.", ["Scan CLOSE.", "Carton is full"]),
    ],
)
def test_small_letters_say_nothing_twice(monkeypatch, sentence, below):
    rows = plain(shown(monkeypatch, Verdict(Word.NEXT, sentence, "1 of 5 in carton"), 40, 12))
    assert rows[5:8] == [*below, "1 of 5 in carton"]


@pytest.mark.parametrize(
    ("sentence", "first"),
    [
        ('"Paper Comet". Now its sleeve.', "Now its sleeve."),
        ("Carton is full: scan CLOSE, or the next carton label.", "Scan CLOSE, or the next carton label."),
        ("The disc will not scan: turn it and try again. If not, scan REJECT.", "Turn it and try again."),
        ("Ada is signed on.", "Ada is signed on."),
        ("Read already. Scan the sleeve of it.", "Scan the sleeve of it."),
        (
            "By the clock of the press it was stacked at 18:46: see on the stack that it has rested.",
            "See on the stack that it has rested.",
        ),
        (
            "Check character of 'K0012538' is wrong: expected 9, found 8. Scan again; if you typed it, type it again.",
            "Scan again; if you typed it, type it again.",
        ),
        ("Right. All units are re-checked: go on packing.", "Go on packing."),
        (
            "You keyed 90, and the counter of L000001B was already at 120. Read it again.",
            "Read it again.",
        ),
        ('The first disc reads EX-101-B on side A; "Paper Comet" is EX-101-A. Do not run.', "Do not run."),
        ('As before, final 2.1: type "=. Type " and then its name.', 'Type " and then its name.'),
        (
            "Return 1: carton 0952 is back and in quarantine.",
            "Return 1: carton 0952 is back and in quarantine.",
        ),
        ("PICK cancelled. Shipment D0000010 left for Shop 1.", "Shipment D0000010 left for Shop 1."),
        ("PICK cancelled.", "PICK cancelled."),
        ("It is recorded. Set it right, or tell quality.", "Set it right, or tell quality."),
        ("Two people are needed: a second person scans a badge.", "A second person scans a badge."),
        ("Blank T000900R is good. Cut EX-102-A: disc 1 side A.", "Cut EX-102-A: disc 1 side A."),
        ("", ""),
    ],
)
def test_the_first_instruction_of_a_sentence(sentence, first):
    assert first_instruction(sentence) == first


def test_half_a_set_looks_and_sounds_unlike_a_whole(monkeypatch):
    half = shown(
        monkeypatch, Verdict(Word.MATCH, "Now disc 2.", "", part=UnitPart(1, 2)), COLORTERM="truecolor"
    )
    whole = shown(monkeypatch, Verdict(Word.MATCH, "", ""), COLORTERM="truecolor")
    assert plain(half)[0] == ("= " * 20 + ". " * 20)
    assert plain(whole)[0] == "= " * 40
    assert "\x1b[0m. ." in half, "painted as far as it is done"
    assert any(row.startswith(big("1 OF 2. NOW DISC 2.", 1, 1)[0]) for row in plain(half))
    assert (half.count("\a"), whole.count("\a")) == (0, 1)
    plain_half = plain(
        shown(monkeypatch, Verdict(Word.MATCH, "Now disc 2.", "", part=UnitPart(1, 2)), NO_COLOR="1")
    )
    assert all("\u2592" not in row[:40] and "\u2592" in row[40:] for row in plain_half[1:8])


def test_sister_editions_are_told_apart_on_every_screen(monkeypatch):
    for columns, lines in SIZES:
        rows = plain(
            shown(monkeypatch, Verdict(Word.MATCH, "", "1 of 5 in carton", panel=PANEL), columns, lines)
        )
        assert any(row.startswith('EX 101 "Paper') for row in rows), (columns, lines)


def test_a_letter_that_cannot_be_drawn_is_told_in_small_ones(monkeypatch):
    assert drawable("Caf\u00e9") == "CAFE"
    assert drawable("\u96ea") is None
    text = shown(monkeypatch, Verdict(Word.NEXT, "Scan \u96ea."))
    assert "\x1b[1mScan \u96ea.\x1b[0m" in text


class TestTerminals:
    STOP = Verdict(Word.STOP, "Put it aside and scan STOP.")

    def test_no_colour_where_none_is_wanted(self, monkeypatch):
        text = shown(monkeypatch, self.STOP, NO_COLOR="1", COLORTERM="truecolor")
        assert not re.search(r"\x1b\[[0-9;]*(3[0-9]|4[0-9])[;m]", text)
        assert text.count("\x1b[7m") > 5, "reversed, so that STOP looks unlike the others here too"
        assert "\x1b[7m" not in shown(monkeypatch, Verdict(Word.MATCH, ""), NO_COLOR="1")

    def test_a_dumb_terminal_gets_lines_of_ascii_and_no_instruction(self, monkeypatch):
        text = shown(monkeypatch, self.STOP, kind="dumb", COLORTERM="truecolor")
        assert "\x1b" not in text
        assert text.isascii()
        assert text.count("#") > 40
        assert "Put it aside and scan STOP." in text

    @pytest.mark.parametrize(
        ("kind", "colorterm", "colours"),
        [
            ("xterm-256color", "", Colours.PALETTE),
            ("linux", "", Colours.SIXTEEN),
            ("xterm", "", Colours.SIXTEEN),
            ("xterm", "truecolor", Colours.TRUE),
            ("xterm-direct", "", Colours.TRUE),
        ],
    )
    def test_colours_as_far_as_the_terminal_has_them(self, kind, colorterm, colours):
        variables = {"TERM": kind, "COLORTERM": colorterm}
        assert terminal_of(Terminal(), variables).colours is colours

    def test_each_word_has_its_own_colour_of_sixteen_and_of_the_palette(self, monkeypatch):
        for kind, pattern in (("xterm", r"\x1b\[(4\d);3\dm"), ("xterm-256color", r"48;5;(\d+)m")):
            found = {re.search(pattern, shown(monkeypatch, Verdict(word, ""), kind=kind))[1] for word in Word}
            assert len(found) == 4, kind

    def test_letters_of_a_terminal_without_blocks(self):
        class Latin(Terminal):
            encoding = "iso-8859-1"

        assert not terminal_of(Latin(), {"TERM": "xterm"}).blocks
        assert big("T", 1, 2, blocks=False) == ["###", " # ", " # ", " # ", " # "]


def test_no_two_letters_are_drawn_alike():
    drawn = sorted(
        tuple(big(letter, 1, 1)) for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,:;'\"-+/()#?!&=%"
    )
    assert all(one != other for one, other in pairwise(drawn))


def luminance(colour):
    """Relative luminance, WCAG 2.2 (not checked against the original text)."""
    channels = [int(one) / 255 for one in colour.split(";")]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_letters_stand_out_and_stop_is_the_only_dark_screen(monkeypatch):
    grounds = {}
    for word in Word:
        text = shown(monkeypatch, Verdict(word, ""), COLORTERM="truecolor")
        ground, ink = (luminance(re.search(rf"{layer};2;(\d+;\d+;\d+)m", text)[1]) for layer in (48, 38))
        assert (max(ground, ink) + 0.05) / (min(ground, ink) + 0.05) >= 4.5, word
        grounds[word] = ground
    assert max(grounds, key=lambda word: -grounds[word]) is Word.STOP
    assert grounds[Word.STOP] < 0.5 * min(ground for word, ground in grounds.items() if word is not Word.STOP)


def test_words_differ_by_border_bell_and_colour_as_well(monkeypatch):
    texts = {word: shown(monkeypatch, Verdict(word, ""), COLORTERM="truecolor") for word in Word}
    marks = {next(row.strip() for row in plain(text) if row.strip()) for text in texts.values()}
    colours = {re.search(r"48;2;(\d+;\d+;\d+)", text)[1] for text in texts.values()}
    assert (len(marks), len(colours)) == (4, 4)
    assert {word: text.count("\a") for word, text in texts.items()} == {
        Word.MATCH: 1,
        Word.NEXT: 0,
        Word.DONE: 0,
        Word.STOP: 3,
    }


def test_scanned_control_characters_are_shown_not_obeyed(monkeypatch):
    text = shown(monkeypatch, Verdict(Word.STOP, "read '\x1b]0;x\x07\x9b31m'"))
    assert r"\x1b]0;x\x07\x9b31m" in text
    assert text.count("\a") == 3


def test_without_a_terminal_a_verdict_is_one_line():
    out = io.StringIO()
    screen.show(Verdict(Word.MATCH, "Now disc 2.", "3 of 25 in carton"), out)
    assert out.getvalue() == "MATCH Now disc 2.  [3 of 25 in carton]\n"


def test_a_line_names_the_product_of_a_match_and_how_far_a_unit_is():
    out = io.StringIO()
    part = UnitPart(1, 2)
    screen.show(Verdict(Word.MATCH, "Now disc 2.", "3 of 25 in carton", part=part, panel=PANEL), out)
    assert (
        out.getvalue() == 'MATCH EX 101 "Paper Comet Arithmetic": 1 of 2. Now disc 2.  [3 of 25 in carton]\n'
    )
    out = io.StringIO()
    screen.show(Verdict(Word.MATCH, "", "3 of 25 in carton", panel=PANEL), out)
    assert out.getvalue() == 'MATCH EX 101 "Paper Comet Arithmetic"  [3 of 25 in carton]\n'
