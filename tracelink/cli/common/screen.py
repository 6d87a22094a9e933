"""A verdict that can be read from two metres: one big word over the width of the screen.

The words differ by letters, by the mark beside them, by the number of bells and by colour, because one man
in twelve does not see red from green. Colours: the colour-blind-safe set of Okabe and Ito (2008).
"""

import shutil
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
    Word.STOP: (213, 94, 0),
}
_MARKS = {Word.MATCH: "= = =", Word.NEXT: "> > >", Word.DONE: "- - -", Word.STOP: "X X X"}
_BELLS = {Word.MATCH: 1, Word.NEXT: 0, Word.DONE: 0, Word.STOP: 3}


def show(verdict: Verdict, out: TextIO) -> None:
    """Show a verdict: a full screen on a terminal, one line elsewhere."""
    if out.isatty():
        click.echo(
            _full_screen(verdict, *shutil.get_terminal_size()) + "\a" * _BELLS[verdict.word],
            nl=False,
            file=out,
        )
    else:
        click.echo(one_line(verdict), file=out)
    out.flush()


def one_line(verdict: Verdict) -> str:
    """Return the verdict as one line of text."""
    rest = "  ".join(
        part for part in (visible(verdict.sentence), f"[{verdict.count}]" if verdict.count else "") if part
    )
    return f"{verdict.word.value:<5} {rest}".rstrip()


def _full_screen(verdict: Verdict, width: int, height: int) -> str:
    red, green, blue = _COLOURS[verdict.word]
    paint = f"\x1b[48;2;{red};{green};{blue}m\x1b[38;2;0;0;0m"
    # A letter is five cells and a gap; a character is about twice as high as it is wide.
    columns = max(1, min(8, (width - 2) // (6 * len(verdict.word.value))))
    lines = max(1, min(columns // 2, (height - 12) // 5))
    mark = _MARKS[verdict.word].center(width)
    rows = ["", mark, "", *_big(verdict.word.value, width, columns, lines), "", mark, ""]
    painted = "".join(f"{paint}{row.ljust(width)[:width]}\x1b[0m\n" for row in rows)
    return (
        f"\x1b[2J\x1b[H{painted}\n{wrapped(visible(verdict.sentence), width)}\n\n{visible(verdict.count)}\n"
    )


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
