"""How often each reason occurred, the most frequent first, with the share that it and those above it make together."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tracelink.ledger.count_words import grouped
from tracelink.report.format import svg

_WIDTH = 900.0
_LEFT, _BARS, _COUNT = 250.0, 480.0, 60.0
_TOP, _ROW, _BAR = 62.0, 30.0, 18.0


def pareto_svg(
    title: str, counts: Sequence[tuple[str, int]], links: Callable[[str], str] | None = None
) -> str:
    """Draw counts as bars and their running share as a line.

    Args:
        title: one line above the picture that says which question it answers.
        counts: reason and how often, the most frequent first; one or more, each 1 or more.
        links: for a page in a browser, where a reason leads to; None for no links.
    """
    total = sum(count for _reason, count in counts)
    most = counts[0][1]
    parts = [
        svg.text(16, 24, title, font_size=14, font_weight="bold"),
        svg.text(_LEFT, 48, "how often", font_size=11),
        svg.text(_LEFT + _BARS + _COUNT + 8, 48, "with those above", font_size=11),
    ]
    so_far, points = 0, []
    for place, (reason, count) in enumerate(counts):
        so_far += count
        middle = _TOP + place * _ROW + _BAR / 2
        points.append((_LEFT + _BARS * so_far / total, middle))
        bar = svg.hatched if place else svg.full
        row = (
            # All of the row leads there, not only its letters.
            svg.rect(8, middle - _ROW / 2 + 1, _LEFT + _BARS, _ROW - 2, stroke="none"),
            svg.text(16, middle + 4, reason, font_family=svg.MONO),
            bar(_LEFT, middle - _BAR / 2, max(1.0, _BARS * count / most), _BAR),
        )
        parts += [svg.linked(links(reason), *row)] if links is not None else row
        parts += [
            svg.text(_LEFT + _BARS + 8, middle + 4, grouped(count)),
            svg.text(_LEFT + _BARS + _COUNT + 8, middle + 4, f"{100 * so_far / total:.0f} %"),
        ]
    line = "M" + "L".join(f"{x:.1f},{y:.1f}" for x, y in points)
    parts.append(svg.path(line, stroke_width=1.5))
    parts += [svg.ring(x, y, 3) for x, y in points]
    below = _TOP + len(counts) * _ROW + 16
    parts.append(
        svg.text(
            16, below, f"{grouped(total)} in all. Line and rings: the share with those above.", font_size=11
        )
    )
    return svg.picture(_WIDTH, below + 14, title, parts, is_linked=links is not None)
