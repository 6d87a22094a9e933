"""Recovery by day as a picture: one bar for each day, what was destroyed within what came back within what is known."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tracelink.genealogy.case.recovery import RecoveryDay
from tracelink.ledger.count_words import OF_DISCS, PieceWords, counted, grouped, signed
from tracelink.report.format import svg
from tracelink.report.format.plain import imprint

_WIDTH = 1000.0
_LEFT = 24.0
_BARS = (130.0, 590.0)
_COLUMNS = (
    ("destroyed", 670.0),
    ("came back", 755.0),
    ("accounted for", 855.0),
    ("not accounted for", 976.0),
)
_ROW, _BAR = 22.0, 14.0
_TOP = 68.0
_MOST = 30
"""Days in one picture: they fit on a sheet with the table beside it, which has them all (own trial)."""


def recovery_svg(
    days: Sequence[RecoveryDay], *, title: str, head: tuple[int, str], at: str, words: PieceWords = OF_DISCS
) -> str:
    """Draw what was recovered by each day, against what there is to recover.

    Args:
        days: in order; of very many, the newest are drawn.
        title: one line above the picture.
        head: last journal sequence looked at, and its hash.
        at: when it was drawn, RFC 3339 with offset.
        words: what is counted.

    Returns:
        A whole SVG that needs nothing else.
    """
    shown = days[-_MOST:]
    largest = max((max(day.may_hold, day.accounted) for day in shown), default=0)
    left, right = _BARS
    scale = (right - left) / largest if largest else 0.0
    parts = [svg.text(_LEFT, 22, title, font_size=14, font_weight="bold"), *_headings(_TOP - 16)]
    for number, day in enumerate(shown):
        parts += _row(day, _TOP + _ROW * number, scale)
    legend_y = _TOP + _ROW * len(shown) + 22
    notes = [imprint(head, at)]
    left_out = len(days) - len(shown)
    if left_out:
        verb = "is" if left_out == 1 else "are"
        notes.insert(0, f"{counted(left_out, 'earlier day')} {verb} not drawn; the table has all.")
    parts += [*_legend(legend_y, days, words), *svg.paragraph(_LEFT, legend_y + 24, notes, font_size=11)]
    return svg.picture(_WIDTH, legend_y + 24 + 15 * len(notes), title, parts)


def _headings(y: float) -> list[str]:
    return [
        svg.text(_LEFT, y, "by the end of", font_size=11),
        *(svg.text(x, y, name, font_size=11, text_anchor="end") for name, x in _COLUMNS),
        svg.line(_LEFT, y + 6, _WIDTH - _LEFT, y + 6),
    ]


def _row(day: RecoveryDay, y: float, scale: float) -> list[str]:
    left = _BARS[0]
    parts = [svg.text(_LEFT, y + 15, day.day)]
    # The widest first: each bar lies within the one before it.
    parts.append(_outline(left, y + 1, day.may_hold * scale, _BAR + 4))
    if day.accounted > 0:
        parts.append(svg.rect(left, y + 3, day.accounted * scale, _BAR))
    if day.returned > 0:
        parts.append(svg.hatched(left, y + 3, day.returned * scale, _BAR))
    if day.destroyed > 0:
        parts.append(svg.full(left, y + 3, day.destroyed * scale, _BAR))
    numbers = (
        grouped(day.destroyed),
        grouped(day.returned),
        grouped(day.accounted),
        signed(day.unaccounted),
    )
    words = (
        svg.text(x, y + 15, number, text_anchor="end")
        for number, (_, x) in zip(numbers, _COLUMNS, strict=True)
    )
    return [*parts, *words]


def _outline(x: float, y: float, width: float, height: float) -> str:
    return svg.rect(x, y, width, height, stroke=svg.FAINT, stroke_dasharray="3 3")


def _legend(y: float, days: Sequence[RecoveryDay], words: PieceWords) -> list[str]:
    x = _LEFT
    sent = max((day.may_hold for day in days), default=0)
    parts: list[str] = []
    patterns: tuple[tuple[Callable[[float, float, float, float], str], str], ...] = (
        (svg.full, "destroyed here"),
        (svg.hatched, "came back"),
        (svg.rect, "accounted for"),
        (_outline, f"sent in {words.holders} that may hold one: {counted(sent, words.one)}"),
    )
    for draw, said in patterns:
        parts += [draw(x, y - 10, 26, 12), svg.text(x + 32, y, said, font_size=11)]
        x += 32 + svg.text_width(said, 11) + 24
    return parts
