"""A verdict that can be read from two metres: one big word over the screen, and below it what to do first.

The words differ by letters, by the border above and below them, by the number of bells and by colour, because one man
in twelve does not see red from green. Colours: the colour-blind-safe set of Okabe and Ito (2008); STOP is its vermillion
made dark, with white letters, so that it is the only dark screen in grey as well. Every word has letters of the same
size, the largest of the screen. A unit that has some of its pieces is painted as far as it is done.
"""

from __future__ import annotations

import shutil
import textwrap
import time
from collections.abc import Iterator, Sequence
from itertools import chain, islice
from typing import TYPE_CHECKING, TextIO

import click

from tracelink.cli.common.big_letters import big, broken, drawable, width_of
from tracelink.cli.common.terminal import Paint, terminal_of
from tracelink.report.format.first_instruction import first_instruction
from tracelink.report.format.plain import visible
from tracelink.station.common.outcome import Word

if TYPE_CHECKING:
    from tracelink.cli.common.terminal import Terminal
    from tracelink.station.common.outcome import Verdict

_BLACK, _WHITE = (0, 0, 0), (255, 255, 255)
_PAINTS = {
    Word.MATCH: Paint((0, 158, 115), _BLACK, (36, 16), (42, 30)),
    Word.NEXT: Paint((86, 180, 233), _BLACK, (74, 16), (46, 30)),
    Word.DONE: Paint((240, 228, 66), _BLACK, (227, 16), (43, 30)),
    Word.STOP: Paint((138, 58, 0), _WHITE, (88, 231), (41, 37)),
}
_BORDERS = {Word.MATCH: "= ", Word.NEXT: "> ", Word.DONE: "- ", Word.STOP: "X"}
"""What the lines above and below the word are made of, from edge to edge."""
_TO_DO = ". "
"""What they are made of as far as a unit is not done."""

_PALE = str.maketrans("\u2588\u2580\u2584#", "\u2592\u2592\u2592:")
"""How the letters of the word are drawn there, so that it shows without colours as well."""

_BETWEEN_BELLS_S = 0.15
"""Many terminals ring once for bells that come together."""
_BELLS = {Word.MATCH: 1, Word.NEXT: 0, Word.DONE: 0, Word.STOP: 3}

_WIDEST = max(width_of(word.value, 1) for word in Word)
_SMALL = 3
"""Lines that are left for small letters below an instruction."""
_LOW = 12
"""Lines below which a screen has no line to spare for a second border."""


def show(verdict: Verdict, out: TextIO, note: str = "") -> None:
    """Show a verdict: a full screen on a terminal, one line elsewhere.

    Args:
        verdict: what to show.
        out: where.
        note: what else is said on a terminal, in small letters.
    """
    if out.isatty():
        size = shutil.get_terminal_size()
        whole = full_screen(verdict, terminal_of(out), size.columns, size.lines, note)
        click.echo(whole, nl=False, file=out, color=True)
        _ring(0 if verdict.part else _BELLS[verdict.word], out)
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
    product = visible(verdict.panel.product) if verdict.panel and verdict.word is Word.MATCH else ""
    told = " ".join(
        part for part in (f"{verdict.part}." if verdict.part else "", visible(verdict.sentence)) if part
    )
    said = ": ".join(part for part in (product, told) if part)
    count = f"[{verdict.count}]" if verdict.count else ""
    rest = "  ".join(part for part in (said, count) if part)
    return f"{verdict.word.value:<5} {rest}".rstrip()


def full_screen(verdict: Verdict, terminal: Terminal, width: int, height: int, note: str = "") -> str:
    """Return all that a terminal is sent for a verdict.

    Args:
        verdict: what to show.
        terminal: what it can show.
        width: of the terminal, characters.
        height: of the terminal, lines; the last stays free for the cursor.
        note: what else is said, in small letters.
    """
    word = _word(verdict, terminal, width, height)
    left = height - 1 - len(word)
    painted = [_row(row, verdict, terminal, width) for row in word]
    below = chain(
        _below(verdict, terminal, width, left, _size(width, height)[1]),
        _wrapped(note, width - 2),
        _panel(verdict, width),
    )
    rows = "".join(f"{row}\n" for row in (*painted, *islice(below, max(1, left))))
    return f"\n{rows}" if terminal.dumb else f"\x1b[2J\x1b[H{rows}\x1b[0J"


def _word(verdict: Verdict, terminal: Terminal, width: int, height: int) -> list[str]:
    """The rows of the big word and its border, not painted yet."""
    across, down = _size(width, height)
    drawn = big(verdict.word.value, across, down, blocks=terminal.blocks)
    border = _border(verdict, width)
    rows = [border, *(row.center(width)[:width] for row in drawn)]
    return rows if height < _LOW else [*rows, border]


def _size(width: int, height: int) -> tuple[int, int]:
    """Return characters to a column and half lines to a row of the letters of every word."""
    across = max(1, width // _WIDEST)
    # With its border the word takes about two fifths of the height: ten half lines to one of `down`.
    return across, max(1, min(across, (42 * height - 120) // 250))


def _border(verdict: Verdict, width: int) -> str:
    done = _done(verdict, width)
    return (_BORDERS[verdict.word] * width)[:done] + (_TO_DO * width)[: width - done]


def _done(verdict: Verdict, width: int) -> int:
    """Return how many characters of a row say that something is done: all, or the share of a unit's pieces."""
    return width * verdict.part.done // verdict.part.of if verdict.part else width


def _row(row: str, verdict: Verdict, terminal: Terminal, width: int) -> str:
    done, reverse = _done(verdict, width), verdict.word is Word.STOP
    painted = terminal.painted(row.ljust(width)[:done], _PAINTS[verdict.word], reverse=reverse)
    return painted + row[done:].translate(_PALE)


def _below(verdict: Verdict, terminal: Terminal, width: int, left: int, down: int) -> Iterator[str]:
    """Yield what stands below the word, the most important first."""
    sentence, count = visible(verdict.sentence), visible(verdict.count)
    instruction = first_instruction(sentence)
    # The instruction alone says it all where it takes what there is.
    rest = sentence if sentence != instruction and left >= _LOW // 2 else ""
    if not rest and sentence.startswith(f"{instruction}:"):
        # What follows names the very places to look at.
        instruction = sentence
    told = f"{verdict.part}. {instruction}" if verdict.part else instruction
    large = _large(told or count, terminal, width, left, at_most=down - 1)
    yield from large or [terminal.bold(row) for row in _wrapped(told, width)]
    # Small letters are read at one go: they say nothing twice.
    yield from _wrapped(rest if large else _but(rest, instruction), width)
    if count:
        yield terminal.bold(count[:width])


def _but(sentence: str, instruction: str) -> str:
    """Return a sentence without the instruction that stands above it."""
    at = sentence.lower().find(instruction.lower())
    if not sentence or at < 0:
        return sentence
    return f"{sentence[:at].rstrip(': ')} {sentence[at + len(instruction) :].lstrip()}".strip()


def _large(text: str, terminal: Terminal, width: int, left: int, *, at_most: int) -> list[str]:
    """Return a text in letters as large as fit beside the rest; none if not even the smallest do."""
    letters = None if terminal.dumb else drawable(text)
    if not letters:
        return []
    for scale in range(min(3, at_most), 0, -1):
        lines = broken(letters, scale, width) or []
        drawn = [big(line, scale, scale, blocks=terminal.blocks) for line in lines]
        # Letters of an odd height leave half a line free below them, others need a line between them.
        gap = [] if scale % 2 else [""]
        rows = [row for place, line in enumerate(drawn) for row in (*(gap if place else []), *line)]
        if rows and len(rows) <= left - _SMALL:
            return rows
    return []


def _panel(verdict: Verdict, width: int) -> Iterator[str]:
    if verdict.panel is None:
        return
    for told in (verdict.panel.product, verdict.panel.left, verdict.panel.check, verdict.panel.read):
        if told:
            yield visible(told)[:width]


def _wrapped(text: str, width: int) -> Sequence[str]:
    return textwrap.wrap(text, max(10, width)) if text else []
