"""Discs in the order in which they were made, put together into the points of a chart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tracelink.errors import UsageError
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.charts.chart_baseline import counted_baseline, measured_baseline
from tracelink.quality.charts.control_chart import (
    ChartBaseline,
    ChartKind,
    ChartTuning,
    ControlChart,
    Subgroup,
    Tally,
)
from tracelink.quality.charts.counted_chart import counted_chart
from tracelink.quality.charts.measured_chart import measured_chart
from tracelink.quality.charts.run_rules import RuleSet

SINGLE = frozenset({ChartKind.INDIVIDUALS, ChartKind.EWMA, ChartKind.CUSUM, ChartKind.C})
"""Charts of which every disc is a point."""
DISCS_IN_A_GROUP = 5
"""Discs behind a point of the other charts, unless said: common practice."""


@dataclass(frozen=True, slots=True)
class ChartedDisc:
    """One disc with what was measured or counted on it."""

    sample: str
    """Its tag."""
    lot: str
    """Its lot."""
    stroke: int
    """Its stroke in that lot."""
    place: int
    """Which stroke of the life of the tool it was; for a press, which of its measured discs, from 1; 0 before `in_order`."""
    value: float
    """What was measured; for a judged disc 1 if it is bad and 0 if it is good."""
    outside: bool
    """True if it was outside the limit that held, or judged bad."""
    made_with: Mapping[str, str]
    """Code by kind of what it was made and measured with: press, compound, gauge and the like."""
    judged: bool = False
    """True if the lab judged it, so that its judgement is in the records."""


@dataclass(frozen=True, slots=True)
class ChartingRules:
    """How points are judged: settings of the plant."""

    rules: RuleSet
    """The run rules."""
    tuning: ChartTuning
    """Of EWMA and CUSUM."""
    least: int
    """Points that a baseline needs."""


Points = Sequence[tuple[ChartedDisc, ...]]
"""The discs behind each point."""


def in_order(discs: Sequence[ChartedDisc], earlier: int = 0) -> list[ChartedDisc]:
    """Return discs with their places: what has no stroke of a life is counted in the order in which it was pressed.

    Args:
        discs: in the order in which they were made.
        earlier: discs that were made before these and are not among them.
    """
    return [
        disc if disc.place else replace(disc, place=earlier + number) for number, disc in enumerate(discs, 1)
    ]


def points_of(kind: ChartKind, discs: Sequence[ChartedDisc], size: int) -> tuple[Points, int]:
    """Put discs together into points, so many discs one after the other for each.

    Returns:
        The points, and how many discs at the end are too few for another one.
    """
    if kind in SINGLE:
        return [(disc,) for disc in discs], 0
    if size < 2:
        raise UsageError(f"a chart of {kind.value} of {size} disc for each point: expected 2 or more")
    points = [tuple(discs[first : first + size]) for first in range(0, len(discs), size)]
    # Shares of fewer discs have limits of their own; a range, a number bad or a mean of fewer would be another thing.
    whole = (
        points if kind in {ChartKind.P, ChartKind.U} else [point for point in points if len(point) == size]
    )
    return whole, len(discs) - sum(len(point) for point in whole)


def baseline_of(kind: ChartKind, points: Points, least: int) -> ChartBaseline | CannotTell:
    """Work out the baseline that points make.

    Raises:
        UsageError: the chart cannot take these values.
    """
    if kind.counts:
        return counted_baseline(kind, _tallies(kind, points), least)
    return measured_baseline(kind, _groups(points), least)


def chart_of(baseline: ChartBaseline, points: Points, how: ChartingRules) -> ControlChart:
    """Judge points by a frozen baseline.

    Raises:
        UsageError: the chart cannot take these values.
    """
    if baseline.kind.counts:
        return counted_chart(baseline, _tallies(baseline.kind, points), how.rules)
    return measured_chart(baseline, _groups(points), how.rules, how.tuning)


def level_of(points: Points) -> list[float]:
    """Return the mean value of the discs behind each point."""
    return [sum(disc.value for disc in point) / len(point) for point in points]


def _groups(points: Points) -> list[Subgroup]:
    return [tuple(disc.value for disc in point) for point in points]


def _tallies(kind: ChartKind, points: Points) -> list[Tally]:
    for point in points:
        for disc in point:
            if disc.value < 0 or disc.value != int(disc.value):
                raise UsageError(
                    f"a chart of {kind.value}: sample {disc.sample} reads {disc.value:g}, expected whole numbers of defects "
                    "or discs; measured values go on individuals, xbar-r, xbar-s, ewma or cusum"
                )
    return [Tally(sum(int(disc.value) for disc in point), len(point)) for point in points]
