"""How many pieces an hour go through each station of a line, in the order of the work."""

from __future__ import annotations

from collections.abc import Sequence

from tracelink.report.format import svg

_WIDTH = 820.0
_LEFT, _BARS = 270.0, 400.0
_TOP, _ROW, _BAR = 58.0, 34.0, 20.0


def pace_svg(title: str, bars: Sequence[tuple[str, str, float | None, bool]]) -> str:
    """Draw a bar for each station.

    Args:
        title: one line above the picture.
        bars: work, name of the station, pieces an hour (None if that is not known), and whether it is the slowest.
    """
    most = max((rate for _work, _name, rate, _slowest in bars if rate is not None), default=1.0)
    parts = [
        svg.text(16, 24, title, font_size=14, font_weight="bold"),
        svg.text(_LEFT, 46, "pieces an hour", font_size=11),
    ]
    for place, (work, name, rate, is_slowest) in enumerate(bars):
        middle = _TOP + place * _ROW + _BAR / 2
        parts.append(svg.text(16, middle + 4, f"{work}: {name}"))
        if rate is None:
            parts.append(svg.text(_LEFT, middle + 4, "not known: no two entries follow each other"))
            continue
        bar = svg.full if is_slowest else svg.hatched
        width = max(1.0, _BARS * rate / most)
        told = f"{rate:.1f}, the slowest" if is_slowest else f"{rate:.1f}"
        parts += [
            bar(_LEFT, middle - _BAR / 2, width, _BAR),
            svg.text(_LEFT + width + 8, middle + 4, told),
        ]
    below = _TOP + len(bars) * _ROW + 14
    return svg.picture(_WIDTH, below, title, parts)
