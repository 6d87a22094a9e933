"""What of a board fits a wall screen whose letters are read from four metres: nothing may lie below its edge unseen."""

from __future__ import annotations

from collections.abc import Sequence

_LETTERS_BESIDE, _LETTERS_NOW = 27, 36
"""Letters of one line beside a number, and of one line of a station, at least (measured at 1920 x 1080)."""
_LINES_OF_ROW, _LINES_OF_DOING, _LINES_OF_WAITS = 2, 2, 3
"""Lines after which the page cuts a text off with dots."""


def lines_of_row(text: str) -> int:
    """Return the lines of a text with a number beside it, 1 or 2."""
    return _lines(text, _LETTERS_BESIDE, _LINES_OF_ROW)


def lines_of_station(doing: str, waits_for: str) -> int:
    """Return the lines of a station with its frame; `waits_for` is empty text where it does not say what it waits for."""
    waits = _lines(waits_for, _LETTERS_NOW, _LINES_OF_WAITS) if waits_for else 0
    return 2 + _lines(doing, _LETTERS_NOW, _LINES_OF_DOING) + waits


def rows_shown(lists: Sequence[Sequence[int]], lines: int, most: int) -> list[int]:
    """Return how many rows of each list are shown, taken in turn, so that none crowds out another.

    Args:
        lists: the lines of each row; a list without rows says so in one line.
        lines: of the screen for all of them, with one for each list that leaves rows out.
        most: rows of one list.
    """
    shown = [0] * len(lists)
    is_growing = True
    while is_growing:
        is_growing = False
        for place, rows in enumerate(lists):
            tried = [*shown[:place], shown[place] + 1, *shown[place + 1 :]]
            if tried[place] <= min(most, len(rows)) and _taken(lists, tried) <= lines:
                shown, is_growing = tried, True
    return shown


def _taken(lists: Sequence[Sequence[int]], shown: Sequence[int]) -> int:
    return sum(
        sum(rows[:count]) + (count < len(rows) or not rows) for rows, count in zip(lists, shown, strict=True)
    )


def _lines(text: str, letters: int, most: int) -> int:
    return min(most, max(1, -(-len(text) // letters)))
