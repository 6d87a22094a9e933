"""Labels along a line: each as near to its mark as the others allow."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracelink.report.format import svg

ROW = 15.0
"""Height of a row of labels, in pixels."""

_SIZE = 11
_BETWEEN = 10.0


@dataclass(frozen=True, slots=True)
class Tag:
    """A label and the place on the line that it belongs to."""

    x: float
    """Position of its mark from the left."""
    words: str
    """Text of the label."""
    bold: bool = False
    """True if it must not be overlooked."""


@dataclass(frozen=True, slots=True)
class PlacedTag:
    """A label with its place."""

    tag: Tag
    """The label."""
    left: float
    """Its left end."""
    row: int
    """0 for the row next to the line."""


def placed(tags: Iterable[Tag], left: float, right: float) -> list[PlacedTag]:
    """Put labels into as few rows as a simple sweep needs; none is left out and none overlaps another.

    Args:
        tags: the labels.
        left: no label begins before this.
        right: no label ends after this, unless it is wider than the whole line.
    """
    ends: list[float] = []
    found: list[PlacedTag] = []
    for tag in sorted(tags, key=lambda one: one.x):
        # Bold letters are wider; the estimate is one for them.
        width = svg.text_width(tag.words, _SIZE)
        start = max(left, min(tag.x - width / 2, right - width))
        row = next((number for number, end in enumerate(ends) if end + _BETWEEN <= start), len(ends))
        if row == len(ends):
            ends.append(0.0)
        ends[row] = start + width
        found.append(PlacedTag(tag, start, row))
    return found


def rows(labels: Sequence[PlacedTag]) -> int:
    """How many rows labels take."""
    return max((label.row + 1 for label in labels), default=0)


def drawn(labels: Sequence[PlacedTag], line_y: float, *, below: bool) -> list[str]:
    """Draw labels and a thin line from each to its mark.

    Args:
        labels: placed ones.
        line_y: where their marks are.
        below: whether they hang below the line; else they stand above it.
    """
    leaders: list[str] = []
    words: list[str] = []
    for label in labels:
        base = line_y + ROW * (label.row + 1) + 2 if below else line_y - ROW * label.row - 8
        end = base - 9 if below else base + 3
        leaders.append(svg.line(label.tag.x, line_y, label.tag.x, end, stroke=svg.FAINT, stroke_width=0.7))
        words.append(
            svg.text(
                label.left,
                base,
                label.tag.words,
                font_size=_SIZE,
                font_weight="bold" if label.tag.bold else "normal",
                # A white rim keeps letters readable where the line of another label passes behind them.
                stroke="#FFFFFF",
                stroke_width=3,
                paint_order="stroke",
            )
        )
    return leaders + words
