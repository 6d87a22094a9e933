"""A control chart: points along the life of a tool or the time of a press, with their limits and signals."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, log10

from tracelink.genealogy.charting.charted_discs import ChartedDisc
from tracelink.genealogy.charting.process_chart import ChangeOnset, ProcessChart
from tracelink.ledger.count_words import grouped
from tracelink.quality.capability import Tolerance
from tracelink.quality.charts.control_chart import Panel, Statistic
from tracelink.report.format import svg
from tracelink.report.format.plain import imprint

_WIDTH = 1000.0
_LEFT, _RIGHT = 78.0, 880.0
_HEIGHT, _GAP, _TOP = 190.0, 54.0, 74.0
_TICKS = 8

Link = Callable[[ChartedDisc], str]
"""Gives the address of a disc."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where a panel stands, and its scales."""

    top: float
    low: float
    high: float
    first: int
    last: int

    def x(self, place: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (place - self.first) / max(1, self.last - self.first)

    def y(self, value: float) -> float:
        return self.top + _HEIGHT * (self.high - value) / (self.high - self.low)


def chart_svg(  # noqa: PLR0913 - what is charted, and what stands around it
    found: ProcessChart,
    subject: str,
    title: str,
    *,
    at: str,
    head: tuple[int, str],
    limit: Tolerance,
    along: str,
    link: Link | None = None,
) -> str:
    """Draw a chart.

    Args:
        found: the chart.
        subject: code of the tool or press.
        title: what is charted.
        at: when it was drawn, RFC 3339 with offset.
        head: last journal sequence looked at, and its hash.
        limit: of the plant, for single values.
        along: what the places are, under the axis.
        link: the address that a point leads to; None for pictures on paper.

    Returns:
        A whole SVG that needs nothing else.
    """
    named = f"{subject}: {title}"
    heading = svg.text(24, 24, named, font_size=14, font_weight="bold")
    if not found.points:
        lines = ["There is nothing to chart.", imprint(head, at)]
        return svg.picture(_WIDTH, 84, named, [heading, *svg.paragraph(24, 48, lines, font_size=11)])
    places = [point[-1].place for point in found.points]
    panels = found.chart.panels if found.chart is not None else (_bare(found),)
    parts = [heading, svg.text(24, 44, _legend(found), font_size=11)]
    for number, panel in enumerate(panels):
        frame = _framed(panel, places, _TOP + number * (_HEIGHT + _GAP), bare=found.chart is None)
        if number == 0 and isinstance(found.onset, ChangeOnset):
            parts += _onset(frame, found.onset)
        parts += [*_axes(frame, panel), *(_lines(frame, panel, places) if found.chart else ())]
        if panel.statistic in {Statistic.VALUE, Statistic.MEAN}:
            parts += _plant_limits(frame, limit)
        parts += [_row(frame, panel, places), *_marks(frame, panel, found.points, link)]
    bottom = _TOP + len(panels) * (_HEIGHT + _GAP)
    parts.append(svg.text(_RIGHT, bottom - 16, along, font_size=11, text_anchor="end"))
    parts.append(svg.text(24, bottom + 8, imprint(head, at), font_size=11))
    return svg.picture(_WIDTH, bottom + 22, named, parts, is_linked=link is not None)


def _bare(found: ProcessChart) -> Panel:
    values = tuple(sum(disc.value for disc in point) / len(point) for point in found.points)
    return Panel(Statistic.VALUE if found.size == 1 else Statistic.MEAN, values, (), ())


def _legend(found: ProcessChart) -> str:
    if found.frozen is None:
        return "No baseline is frozen: no limits are drawn, and nothing warns."
    baseline = found.frozen.baseline
    return (
        f"Chart {found.kind.value}. Limits from the baseline of {grouped(baseline.points)} points of {found.frozen.subject} "
        f"(entry {found.frozen.entry}). Cross: a signal. Hatched: where the change begins (95 %)."
    )


def _framed(panel: Panel, places: Sequence[int], top: float, *, bare: bool) -> _Frame:
    seen = [value for value in panel.values if value is not None]
    if not bare:
        seen += [lines.upper for lines in panel.limits]
        seen += [lines.centre if lines.lower is None else lines.lower for lines in panel.limits]
    low, high = min(seen, default=0.0), max(seen, default=1.0)
    margin = (high - low) * 0.08 or abs(high) * 0.05 or 1.0
    return _Frame(top, low - margin, high + margin, places[0], places[-1])


def _axes(frame: _Frame, panel: Panel) -> Iterator[str]:
    bottom = frame.top + _HEIGHT
    yield svg.line(_LEFT, frame.top, _LEFT, bottom)
    yield svg.line(_LEFT, bottom, _RIGHT, bottom)
    yield svg.text(_LEFT, frame.top - 8, panel.statistic.value, font_size=11)
    for value in _round_values(frame.low, frame.high):
        yield svg.line(_LEFT - 4, frame.y(value), _LEFT, frame.y(value))
        yield svg.text(_LEFT - 8, frame.y(value) + 4, f"{value:.6g}", font_size=11, text_anchor="end")
    span = frame.last - frame.first
    steps = sorted({frame.first + round(span * tick / _TICKS) for tick in range(_TICKS + 1)})
    for place in steps:
        yield svg.line(frame.x(place), bottom, frame.x(place), bottom + 5)
        yield svg.text(frame.x(place), bottom + 18, str(place), font_size=11, text_anchor="middle")


def _round_values(low: float, high: float) -> list[float]:
    """Three to seven round numbers between two."""
    unit = 10.0 ** floor(log10(high - low))
    step = next(unit * part for part in (0.2, 0.5, 1.0, 2.0) if (high - low) / (unit * part) <= 7)
    return [number * step for number in range(ceil(low / step), floor(high / step) + 1)]


def _plant_limits(frame: _Frame, limit: Tolerance) -> Iterator[str]:
    """The limits that discs are judged by, where they lie within the picture."""
    for value in (limit.lower, limit.upper):
        if value is not None and frame.low <= value <= frame.high:
            yield svg.line(_LEFT, frame.y(value), _RIGHT, frame.y(value), stroke=svg.ACCENT, stroke_width=2)
            yield svg.text(_LEFT + 6, frame.y(value) - 5, f"limit of the plant {value:g}", font_size=11)


def _lines(frame: _Frame, panel: Panel, places: Sequence[int]) -> Iterator[str]:
    """Centre line and limits, stepped where they differ from point to point."""
    kinds = (
        ("upper", [lines.upper for lines in panel.limits], "5 3"),
        ("centre", [lines.centre for lines in panel.limits], ""),
        ("lower", [lines.lower for lines in panel.limits], "5 3"),
    )
    for name, values, dashes in kinds:
        known = [(place, value) for place, value in zip(places, values, strict=True) if value is not None]
        if not known:
            continue
        data = "M" + "L".join(f"{frame.x(place):.1f},{frame.y(value):.1f}" for place, value in known)
        style = {"stroke_dasharray": dashes} if dashes else {}
        if len(known) == 1:
            data += f"L{_RIGHT:.1f},{frame.y(known[0][1]):.1f}"
        yield svg.path(data, stroke=svg.FAINT, **style)
        last = known[-1][1]
        yield svg.text(_RIGHT + 8, frame.y(last) + 4, f"{name} {last:.5g}", font_size=11)


def _row(frame: _Frame, panel: Panel, places: Sequence[int]) -> str:
    known = [(place, value) for place, value in zip(places, panel.values, strict=True) if value is not None]
    return svg.path("M" + "L".join(f"{frame.x(place):.1f},{frame.y(value):.1f}" for place, value in known))


def _marks(
    frame: _Frame, panel: Panel, points: Sequence[tuple[ChartedDisc, ...]], link: Link | None
) -> Iterator[str]:
    signals = {signal.point for signal in panel.signals}
    for number, (point, value) in enumerate(zip(points, panel.values, strict=True), 1):
        if value is None:
            continue
        disc = point[-1]
        x, y = frame.x(disc.place), frame.y(value)
        mark = svg.cross(x, y, 5) if number in signals else svg.ring(x, y, 3.5)
        yield mark if link is None else svg.linked(link(disc), _told(disc, value), mark)


def _told(disc: ChartedDisc, value: float) -> str:
    return svg.el("title", {}, escape(f"{disc.sample}, stroke {disc.stroke} of {disc.lot}: {value:.5g}"))


def _onset(frame: _Frame, onset: ChangeOnset) -> Iterator[str]:
    left, right = frame.x(onset.after.place), frame.x(onset.by.place)
    yield svg.hatched(left, frame.top, max(2.0, right - left), _HEIGHT)
