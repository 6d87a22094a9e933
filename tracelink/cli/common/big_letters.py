"""Letters as high as several lines of a terminal, drawn for this program on a grid of three by five; N has four.

A letter is drawn with half blocks, two grid rows to a line, so that a grid cell one character wide is about square. Where a
terminal shows no such blocks, every grid row is a line of `#`.
"""

import unicodedata
from collections.abc import Sequence

ROWS = 5
"""Grid rows of a letter."""
_DRAWN = """
A 010 101 111 101 101   B 110 101 110 101 110   C 011 100 100 100 011   D 110 101 101 101 110   E 111 100 110 100 111
F 111 100 110 100 100   G 011 100 101 101 011   H 101 101 111 101 101   I 111 010 010 010 111   J 001 001 001 101 010
K 101 101 110 101 101   L 100 100 100 100 111   M 101 111 111 101 101   N 1001 1101 1011 1001 1001   O 010 101 101 101 010
P 110 101 110 100 100   Q 010 101 101 110 011   R 110 101 110 101 101   S 011 100 010 001 110   T 111 010 010 010 010
U 101 101 101 101 111   V 101 101 101 101 010   W 101 101 111 111 101   X 101 101 010 101 101   Y 101 101 010 010 010
Z 111 001 010 100 111   0 111 101 101 101 111   1 010 110 010 010 111   2 110 001 010 100 111   3 110 001 010 001 110
4 101 101 111 001 001   5 111 100 110 001 110   6 011 100 111 101 111   7 111 001 010 010 010   8 111 101 111 101 111
9 111 101 111 001 110   . 000 000 000 000 010   , 000 000 000 010 100   : 000 010 000 010 000   ; 000 010 000 010 100
' 010 010 000 000 000   " 101 101 000 000 000   - 000 000 111 000 000   + 000 010 111 010 000   / 001 001 010 100 100
( 010 100 100 100 010   ) 010 001 001 001 010   # 101 111 101 111 101   ? 110 001 010 000 010   ! 010 010 010 000 010
& 010 101 010 101 011   = 000 111 000 111 000   % 101 001 010 100 101
"""
_GLYPHS = {
    words[at]: tuple(words[at + 1 : at + 6]) for words in [_DRAWN.split()] for at in range(0, len(words), 6)
}
_GLYPHS[" "] = ("000",) * ROWS

_HALVES = {(False, False): " ", (True, False): "\u2580", (False, True): "\u2584", (True, True): "\u2588"}


def width_of(text: str, across: int) -> int:
    """Return how many characters wide a text is.

    Args:
        text: characters that can be drawn.
        across: characters to a grid column.
    """
    return max(0, sum(len(_GLYPHS[letter][0]) + 1 for letter in text) - 1) * across


def broken(text: str, across: int, width: int) -> list[str] | None:
    """Return the lines of a text that is broken between words; None if a word is too wide.

    Args:
        text: characters that can be drawn.
        across: characters to a grid column.
        width: of the screen, characters.
    """
    lines: list[str] = []
    for word in text.split():
        if width_of(word, across) > width:
            return None
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, across) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def drawable(text: str) -> str | None:
    """Return a text as it can be drawn, in capitals and without accents; None if a character of it cannot."""
    plain = "".join(
        each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each)
    ).upper()
    return plain if all(each in _GLYPHS for each in plain) else None


def big(text: str, across: int, down: int, *, blocks: bool = True) -> list[str]:
    """Return the lines of a text drawn large, all of one width.

    Args:
        text: characters that can be drawn.
        across: characters to a grid column, at least 1.
        down: half lines to a grid row, at least 1.
        blocks: whether the terminal shows half blocks; else a grid row is whole lines of `#`.
    """
    if not blocks:
        grid = ["0".join(_GLYPHS[letter][row] for letter in text) for row in range(ROWS)]
        lines = ["".join(("#" if cell == "1" else " ") * across for cell in row) for row in grid]
        return [line for line in lines for _ in range(max(1, down // 2))]
    gap = [[False] * across] * (ROWS * down)
    letters = [part for letter in text for part in (gap, _half_rows(letter, across, down))][1:]
    halves = [[cell for letter in letters for cell in letter[row]] for row in range(ROWS * down)]
    if len(halves) % 2:
        halves.append([False] * len(halves[0]))
    return [_joined(upper, lower) for upper, lower in zip(halves[::2], halves[1::2], strict=True)]


def _half_rows(letter: str, across: int, down: int) -> list[list[bool]]:
    """Return the half lines of a letter; M has its slopes where there is room for them, or it looks like an H."""
    if letter == "M" and across > 1 and down > 1:
        return [_slopes(across, down, row) for row in range(ROWS * down)]
    return [
        [cell == "1" for cell in row for _ in range(across)] for row in _GLYPHS[letter] for _ in range(down)
    ]


def _slopes(across: int, down: int, row: int) -> list[bool]:
    stem = [True] * across
    from_stem = [min(column, across - 1 - column) for column in range(across)]
    begins = [4 * down * each // across for each in from_stem]
    return [*stem, *(begin <= row < begin + 2 * down for begin in begins), *stem]


def _joined(upper: Sequence[bool], lower: Sequence[bool]) -> str:
    return "".join(_HALVES[pair] for pair in zip(upper, lower, strict=True))
