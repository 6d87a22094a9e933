"""Charts of counts: the share or number of bad discs (p, np), defects (c, u)."""

from __future__ import annotations

from collections.abc import Sequence

from tracelink.errors import UsageError
from tracelink.quality.charts.chart_baseline import counted_size, scatter
from tracelink.quality.charts.control_chart import (
    ChartBaseline,
    ChartKind,
    ControlChart,
    ControlLimits,
    Panel,
    Statistic,
    Tally,
)
from tracelink.quality.charts.run_rules import RuleSet, run_signals


def counted_chart(baseline: ChartBaseline, tallies: Sequence[Tally], rules: RuleSet) -> ControlChart:
    """Judge counts by limits from a frozen baseline.

    Args:
        baseline: of a chart of counts.
        tallies: what was found at each point, in order.
        rules: the run rules.

    Raises:
        UsageError: on an np or c chart the points stand for another number of discs than those of the baseline.
    """
    kind = baseline.kind
    size = counted_size(kind, tallies)
    if size != baseline.size and tallies:
        raise UsageError(f"points of {size} discs: expected {baseline.size}, as in the baseline")
    # Bad discs and defects are charted as numbers on np and c charts, as a share of the discs on the others.
    numbers = kind in {ChartKind.NP, ChartKind.C}
    values, limits, distances = [], [], []
    for one in tallies:
        value = one.found if numbers else one.found / one.looked_at
        centre = baseline.centre * one.looked_at if numbers else baseline.centre
        sigma = scatter(kind, baseline.centre, one.looked_at)
        values.append(float(value))
        limits.append(_limits(kind, centre, sigma, one.looked_at))
        distances.append((value - centre) / sigma)
    panel = Panel(_STATISTIC[kind], tuple(values), tuple(limits), run_signals(distances, rules))
    return ControlChart(kind, (panel,))


_STATISTIC = {
    ChartKind.P: Statistic.SHARE_BAD,
    ChartKind.NP: Statistic.BAD,
    ChartKind.C: Statistic.DEFECTS,
    ChartKind.U: Statistic.DEFECTS_PER_DISC,
}


def _limits(kind: ChartKind, centre: float, sigma: float, discs: int) -> ControlLimits:
    # A limit below none, or above all of the discs, is no limit that a point can pass.
    most = {ChartKind.P: 1.0, ChartKind.NP: float(discs)}.get(kind)
    upper = centre + 3 * sigma
    lower = centre - 3 * sigma
    return ControlLimits(lower if lower > 0 else None, centre, upper if most is None else min(most, upper))
