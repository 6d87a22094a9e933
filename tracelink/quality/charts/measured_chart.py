"""Charts of measured values: individuals, means with ranges or standard deviations, EWMA, CUSUM."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import accumulate
from math import sqrt
from statistics import fmean, stdev

from tracelink.quality.charts.chart_baseline import common_size, moving_ranges
from tracelink.quality.charts.chart_constants import c4, d2, deviation_limits, range_limits
from tracelink.quality.charts.control_chart import (
    ChartBaseline,
    ChartKind,
    ChartTuning,
    ControlChart,
    ControlLimits,
    Panel,
    Statistic,
    Subgroup,
)
from tracelink.quality.charts.run_rules import RuleSet, RunRule, Signal, run_signals


def measured_chart(
    baseline: ChartBaseline, groups: Sequence[Subgroup], rules: RuleSet, tuning: ChartTuning
) -> ControlChart:
    """Judge points by limits from a frozen baseline.

    Args:
        baseline: of a chart of measured values.
        groups: the values behind each point, in order.
        rules: the run rules; those that remember, and panels of spread, have limits only.
        tuning: of EWMA and CUSUM.

    Raises:
        UsageError: the groups are of another size than those of the baseline.
    """
    kind = baseline.kind
    common_size(kind, groups)
    if kind is ChartKind.EWMA:
        return ControlChart(kind, (_weighted(baseline, groups, tuning),))
    if kind is ChartKind.CUSUM:
        return ControlChart(kind, _sums(baseline, groups, tuning))
    level, spread = _LEVEL[kind], _SPREAD[kind]
    return ControlChart(kind, (_location(baseline, level, groups, rules), spread(baseline, groups)))


def ewma(values: Iterable[float], start: float, weight: float) -> list[float]:
    """Return the exponentially weighted means of a row of values.

    Args:
        values: in order.
        start: the mean before the first one: the target.
        weight: of the newest value, above 0 up to 1.
    """
    return list(accumulate(values, lambda mean, value: weight * value + (1 - weight) * mean, initial=start))[
        1:
    ]


def ewma_limits(baseline: ChartBaseline, tuning: ChartTuning, point: int | None) -> ControlLimits:
    """Return the limits of a weighted mean at a point, from 1; None for those that it comes to."""
    # The first means know little but the target, so their limits are narrower: exact for each point.
    grown = 1.0 if point is None else 1 - (1 - tuning.weight) ** (2 * point)
    width = tuning.width * baseline.sigma * sqrt(tuning.weight / (2 - tuning.weight) * grown)
    return ControlLimits(baseline.centre - width, baseline.centre, baseline.centre + width)


def cusum(values: Iterable[float], target: float, slack: float) -> tuple[list[float], list[float]]:
    """Return the one-sided sums above and below a target; a sum never falls below 0.

    Args:
        values: in order.
        target: the mean that they should have.
        slack: how far a value may lie off before it adds to a sum, in units of the values.
    """
    above, below, up, down = [], [], 0.0, 0.0
    for value in values:
        up = max(0.0, up + value - target - slack)
        down = max(0.0, down + target - value - slack)
        above.append(up)
        below.append(down)
    return above, below


def beyond(values: Sequence[float | None], limits: Sequence[ControlLimits]) -> tuple[Signal, ...]:
    """Return the points strictly beyond their limits."""
    return tuple(
        Signal(point, RunRule.BEYOND_LIMIT)
        for point, (value, lines) in enumerate(zip(values, limits, strict=True), 1)
        if value is not None and (value > lines.upper or (lines.lower is not None and value < lines.lower))
    )


def _location(baseline: ChartBaseline, level: Statistic, groups: Sequence[Subgroup], rules: RuleSet) -> Panel:
    values = [fmean(group) for group in groups]
    sigma = baseline.sigma / sqrt(baseline.size)
    distances = [(value - baseline.centre) / sigma for value in values]
    lines = ControlLimits(baseline.centre - 3 * sigma, baseline.centre, baseline.centre + 3 * sigma)
    return Panel(level, tuple(values), (lines,) * len(values), run_signals(distances, rules))


def _moving(baseline: ChartBaseline, groups: Sequence[Subgroup]) -> Panel:
    values = (None, *moving_ranges(groups)) if groups else ()
    return _spread(Statistic.MOVING_RANGE, values, baseline.sigma * d2(2), range_limits(2))


def _ranges(baseline: ChartBaseline, groups: Sequence[Subgroup]) -> Panel:
    values = tuple(max(group) - min(group) for group in groups)
    return _spread(Statistic.RANGE, values, baseline.sigma * d2(baseline.size), range_limits(baseline.size))


def _deviations(baseline: ChartBaseline, groups: Sequence[Subgroup]) -> Panel:
    values = tuple(stdev(group) for group in groups)
    return _spread(
        Statistic.DEVIATION, values, baseline.sigma * c4(baseline.size), deviation_limits(baseline.size)
    )


def _spread(
    statistic: Statistic, values: Sequence[float | None], centre: float, factors: tuple[float, float]
) -> Panel:
    low, high = factors
    # Where the factor is 0 there is no lower limit: no range lies below 0.
    limits = (ControlLimits(low * centre if low else None, centre, high * centre),) * len(values)
    return Panel(statistic, tuple(values), limits, beyond(values, limits))


def _weighted(baseline: ChartBaseline, groups: Sequence[Subgroup], tuning: ChartTuning) -> Panel:
    values = ewma((group[0] for group in groups), baseline.centre, tuning.weight)
    limits = tuple(ewma_limits(baseline, tuning, point) for point in range(1, len(values) + 1))
    return Panel(Statistic.WEIGHTED_MEAN, tuple(values), limits, beyond(values, limits))


def _sums(baseline: ChartBaseline, groups: Sequence[Subgroup], tuning: ChartTuning) -> tuple[Panel, Panel]:
    sigma = baseline.sigma
    sums = cusum((group[0] for group in groups), baseline.centre, tuning.slack * sigma)
    limits = (ControlLimits(None, 0.0, tuning.decision * sigma),) * len(groups)
    above, below = (
        Panel(statistic, tuple(row), limits, beyond(row, limits))
        for statistic, row in zip((Statistic.SUM_ABOVE, Statistic.SUM_BELOW), sums, strict=True)
    )
    return above, below


_LEVEL = {
    ChartKind.INDIVIDUALS: Statistic.VALUE,
    ChartKind.XBAR_R: Statistic.MEAN,
    ChartKind.XBAR_S: Statistic.MEAN,
}
_SPREAD: dict[ChartKind, Callable[[ChartBaseline, Sequence[Subgroup]], Panel]] = {
    ChartKind.INDIVIDUALS: _moving,
    ChartKind.XBAR_R: _ranges,
    ChartKind.XBAR_S: _deviations,
}
