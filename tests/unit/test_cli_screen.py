"""The verdict on the screen: big, told apart by word, mark, bell and colour, and never driven by what was scanned."""

import io
import re

import pytest

from tracelink.cli.common import screen
from tracelink.station.common.outcome import Verdict, Word


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def shown(monkeypatch, verdict: Verdict, columns: int = 80, lines: int = 24) -> str:
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setenv("LINES", str(lines))
    terminal = Terminal()
    screen.show(verdict, terminal)
    return terminal.getvalue()


def plain(text: str) -> list[str]:
    return re.sub(r"\x1b\[[0-9;]*[A-Za-z]", "", text).split("\n")


@pytest.mark.parametrize("word", list(Word))
@pytest.mark.parametrize(("columns", "lines"), [(40, 15), (80, 24), (100, 30), (200, 60)])
def test_a_word_fills_most_of_the_width_and_never_wraps(monkeypatch, word, columns, lines):
    rows = plain(shown(monkeypatch, Verdict(word, "Scan the sleeve.", "3 of 25 in carton"), columns, lines))
    inked = [row for row in rows if "\u2588" in row]
    width = max(len(row.rstrip()) - (len(row) - len(row.lstrip())) for row in inked)
    # Eight columns a cell are the largest that is drawn; below that, a further column a cell must not fit.
    cell = min(8, (columns - 2) // (6 * len(word.value)))
    assert width >= cell * (6 * len(word.value) - 3)
    assert max(len(row) for row in rows) <= columns
    assert len(rows) <= lines + 2


@pytest.mark.parametrize(("columns", "lines"), [(40, 15), (80, 24), (100, 30), (160, 45), (200, 60)])
def test_every_word_is_as_high_as_the_others(monkeypatch, columns, lines):
    heights = {
        word: sum("\u2588" in row for row in plain(shown(monkeypatch, Verdict(word, ""), columns, lines)))
        for word in Word
    }
    assert len(set(heights.values())) == 1, heights


def luminance(colour):
    """Relative luminance, WCAG 2.2 (not checked against the original text)."""
    channels = [int(one) / 255 for one in colour.split(";")]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_letters_stand_out_and_stop_is_the_only_dark_screen(monkeypatch):
    grounds = {}
    for word in Word:
        text = shown(monkeypatch, Verdict(word, ""))
        ground, ink = (luminance(re.search(rf"{layer};2;(\d+;\d+;\d+)m", text)[1]) for layer in (48, 38))
        assert (max(ground, ink) + 0.05) / (min(ground, ink) + 0.05) >= 4.5, word
        grounds[word] = ground
    assert max(grounds, key=lambda word: -grounds[word]) is Word.STOP
    assert grounds[Word.STOP] < 0.5 * min(ground for word, ground in grounds.items() if word is not Word.STOP)


def test_words_differ_by_border_bell_and_colour_as_well(monkeypatch):
    texts = {word: shown(monkeypatch, Verdict(word, "")) for word in Word}
    marks = {next(row.strip() for row in plain(text)[1:] if row.strip()) for text in texts.values()}
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
