"""A verdict that can be read from two metres: one big word over the width of the screen.

The words differ by letters, by the border above and below them, by the number of bells and by colour, because one man
in twelve does not see red from green. Colours: the colour-blind-safe set of Okabe and Ito (2008); STOP is its vermillion
made dark, with white letters, so that it is the only dark screen in grey as well.
"""

import shutil
import time
from typing import TextIO

import click

from tracelink.report.format.plain import visible
from tracelink.station.common.outcome import Verdict, Word

_GLYPHS = {
    "A": ("01110", "10001", "11111", "10001", "10001"),
    "C": ("01111", "10000", "10000", "10000", "01111"),
    "D": ("11110", "10001", "10001", "10001", "11110"),
    "E": ("11111", "10000", "11110", "10000", "11111"),
    "H": ("10001", "10001", "11111", "10001", "10001"),
    "M": ("10001", "11011", "10101", "10001", "10001"),
    "N": ("10001", "11001", "10101", "10011", "10001"),
    "O": ("01110", "10001", "10001", "10001", "01110"),
    "P": ("11110", "10001", "11110", "10000", "10000"),
    "S": ("01111", "10000", "01110", "00001", "11110"),
    "T": ("11111", "00100", "00100", "00100", "00100"),
    "X": ("10001", "01010", "00100", "01010", "10001"),
}
"""Letters of the four words, drawn for this program on a grid of five by five."""

_COLOURS = {
    Word.MATCH: (0, 158, 115),
    Word.NEXT: (86, 180, 233),
    Word.DONE: (240, 228, 66),
    Word.STOP: (138, 58, 0),
}
_BLACK, _WHITE = (0, 0, 0), (255, 255, 255)
_INK = {Word.MATCH: _BLACK, Word.NEXT: _BLACK, Word.DONE: _BLACK, Word.STOP: _WHITE}
_BORDERS = {Word.MATCH: "= ", Word.NEXT: "> ", Word.DONE: "- ", Word.STOP: "X"}
"""What the lines above and below the word are made of, from edge to edge."""

_BETWEEN_BELLS_S = 0.15
"""Many terminals ring once for bells that come together."""

_LETTERS = 4
"""Letters of a word by which the height of all of them goes: MATCH, the commonest, is no lower than STOP."""
_BELLS = {Word.MATCH: 1, Word.NEXT: 0, Word.DONE: 0, Word.STOP: 3}


def show(verdict: Verdict, out: TextIO) -> None:
    """Show a verdict: a full screen on a terminal, one line elsewhere."""
    if out.isatty():
        click.echo(_full_screen(verdict, *shutil.get_terminal_size()), nl=False, file=out)
        _ring(_BELLS[verdict.word], out)
    else:
        click.echo(one_line(verdict), file=out)
    out.flush()


def _ring(times: int, out: TextIO) -> None:
    for bell in range(times):
        if bell:
            time.sleep(_BETWEEN_BELLS_S)
        click.echo("\a", nl=False, file=out)
        out.flush()


def one_line(verdict: Verdict) -> str:
    """Return the verdict as one line of text."""
    rest = "  ".join(
        part for part in (visible(verdict.sentence), f"[{verdict.count}]" if verdict.count else "") if part
    )
    return f"{verdict.word.value:<5} {rest}".rstrip()


def _full_screen(verdict: Verdict, width: int, height: int) -> str:
    paint = f"{_colour(48, _COLOURS[verdict.word])}{_colour(38, _INK[verdict.word])}"
    # A letter is five cells and a gap; a character is about twice as high as it is wide.
    columns = _cell(width, len(verdict.word.value))
    lines = max(1, min(_cell(width, _LETTERS) // 2, (height - 12) // 5))
    border = (_BORDERS[verdict.word] * width)[:width]
    rows = ["", border, "", *_big(verdict.word.value, width, columns, lines), "", border, ""]
    painted = "".join(f"{paint}{row.ljust(width)[:width]}\x1b[0m\n" for row in rows)
    sentence = wrapped(visible(verdict.sentence), width)
    told = f"\x1b[1m{sentence}\x1b[0m" if sentence else ""
    return f"\x1b[2J\x1b[H{painted}\n{told}\n\n{visible(verdict.count)}\n"


def _colour(layer: int, colour: tuple[int, int, int]) -> str:
    red, green, blue = colour
    return f"\x1b[{layer};2;{red};{green};{blue}m"


def _cell(width: int, letters: int) -> int:
    """How many characters wide one cell of a letter is, for a word of so many letters over the screen."""
    return max(1, min(8, (width - 2) // (6 * letters)))


def _big(word: str, width: int, columns: int, lines: int) -> list[str]:
    drawn = []
    for row in range(5):
        cells = "0".join(_GLYPHS[letter][row] for letter in word)
        line = "".join(("\u2588" if cell == "1" else " ") * columns for cell in cells)
        drawn += [line.center(width)] * lines
    return drawn


def wrapped(text: str, width: int) -> str:
    """Return text broken between words, for a screen so many characters wide."""
    return click.wrap_text(text, width=max(20, width - 2)) if text else ""
