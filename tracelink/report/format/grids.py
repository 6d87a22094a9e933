"""Tables of a page: their cells, and the line they add up to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.report.format.render import Column

GridCell = str | int | None
"""Numbers are printed in groups of three; None is printed as a dash."""


@dataclass(frozen=True, slots=True)
class Grid:
    """One table of a page."""

    columns: tuple[Column, ...]
    """Its columns."""
    rows: tuple[tuple[GridCell, ...], ...]
    """As many cells as columns each."""
    foot: tuple[tuple[GridCell, ...], ...] = ()
    """Lines under a rule, such as the total and the difference; empty cells stay white."""


def grid(
    columns: Sequence[tuple[str, str]],
    rows: Iterable[Sequence[GridCell]],
    foot: Iterable[Sequence[GridCell]] = (),
) -> Grid:
    """Make a table.

    Args:
        columns: (title, form) pairs; the form is `n` for numbers, `w` for text that may wrap, `` for codes.
        rows: the cells.
        foot: the lines under the rule.
    """
    made = tuple(Column(title, title, number=form == "n", wraps=form == "w") for title, form in columns)
    return Grid(made, tuple(tuple(row) for row in rows), tuple(tuple(row) for row in foot))


def number_of(cells: Iterable[GridCell]) -> int:
    """The sum of a column's numbers."""
    return sum(cell for cell in cells if isinstance(cell, int))


def spans(strokes: StrokeSet) -> str:
    """Strokes for a page: `1–400, 402`, with the dash of ranges."""
    return str(strokes).replace("-", "–")
