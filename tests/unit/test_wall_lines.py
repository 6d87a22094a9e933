"""What fits a wall screen."""

import pytest

from tracelink.web.wall_lines import lines_of_row, lines_of_station, rows_shown


@pytest.mark.parametrize(
    ("lists", "lines", "shown"),
    [
        # All fit.
        (([1, 1], [2], [1]), 5, [2, 1, 1]),
        # What says how many are left out takes a line too.
        (([1, 1, 1],), 2, [1]),
        (([1, 1, 1],), 3, [3]),
        # They are taken in turn: many rows of one leave room for those of another.
        (([2, 2, 2], [2, 2, 2], [2, 2, 2]), 13, [2, 2, 1]),
        # A list without rows says so.
        (([], [2, 2]), 5, [0, 2]),
        (([], [2, 2]), 4, [0, 1]),
        # Never more than it may, and one that is too long is left out and not cut.
        (([1] * 9,), 20, [3]),
        (([3],), 2, [0]),
    ],
)
def test_rows_are_shown_in_turn_as_long_as_they_fit(lists, lines, shown):
    assert rows_shown(lists, lines, 3) == shown


def test_a_text_takes_as_many_lines_as_the_page_gives_it():
    assert [lines_of_row("x" * letters) for letters in (0, 27, 28, 300)] == [1, 1, 2, 2]
    assert [lines_of_station("x" * 30, ""), lines_of_station("x" * 80, "y" * 300)] == [3, 7]
