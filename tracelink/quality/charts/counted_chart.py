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
from tracelink.quality.charts.exact_limits import exact_limits, too_few
from tracelink.quality.charts.measured_chart import beyond
from tracelink.quality.charts.run_rules import RuleSet, Signal, run_signals


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
    values = tuple(float(one.found if numbers else one.found / one.looked_at) for one in tallies)
    limits = tuple(_limits(kind, baseline.centre, one.looked_at, numbers=numbers) for one in tallies)
    signals = _signals(baseline, tallies, values, limits, rules)
    return ControlChart(kind, (Panel(_STATISTIC[kind], values, limits, signals),))


def _signals(
    baseline: ChartBaseline,
    tallies: Sequence[Tally],
    values: Sequence[float],
    limits: Sequence[ControlLimits],
    rules: RuleSet,
) -> tuple[Signal, ...]:
    """The run rules of points of which enough is expected; of the others what lies beyond its exact limits."""
    kind, centre = baseline.kind, baseline.centre
    # Run rules count points on each side of the centre and within so many standard deviations of it, which says nothing of
    # counts that are mostly 0. So points of few stand outside of the runs.
    enough = [number for number, one in enumerate(tallies) if not too_few(kind, centre, one.looked_at)]
    distances = [
        (values[number] - limits[number].centre) / scatter(kind, centre, tallies[number].looked_at)
        for number in enough
    ]
    of_runs = [Signal(enough[found.point - 1] + 1, found.rule) for found in run_signals(distances, rules)]
    runs = {number + 1 for number in enough}
    of_few = [found for found in beyond(values, limits) if found.point not in runs]
    return tuple(sorted([*of_runs, *of_few], key=lambda found: found.point))


_STATISTIC = {
    ChartKind.P: Statistic.SHARE_BAD,
    ChartKind.NP: Statistic.BAD,
    ChartKind.C: Statistic.DEFECTS,
    ChartKind.U: Statistic.DEFECTS_PER_DISC,
}


def _limits(kind: ChartKind, share: float, discs: int, *, numbers: bool) -> ControlLimits:
    if too_few(kind, share, discs):
        exact = exact_limits(kind, share, discs)
        return exact if numbers else _for_each_disc(exact, discs)
    centre = share * discs if numbers else share
    sigma = scatter(kind, share, discs)
    # A limit below none, or above all of the discs, is no limit that a point can pass.
    most = {ChartKind.P: 1.0, ChartKind.NP: float(discs)}.get(kind)
    upper = centre + 3 * sigma
    lower = centre - 3 * sigma
    return ControlLimits(lower if lower > 0 else None, centre, upper if most is None else min(most, upper))


def _for_each_disc(limits: ControlLimits, discs: int) -> ControlLimits:
    lower = None if limits.lower is None else limits.lower / discs
    return ControlLimits(lower, limits.centre / discs, limits.upper / discs)
