"""A frozen baseline: the centre and the spread of a process while it ran as it should."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import sqrt
from statistics import fmean, stdev

from tracelink.errors import UsageError
from tracelink.quality.cannot_tell import CannotTell, Doubt
from tracelink.quality.charts.chart_constants import c4, d2
from tracelink.quality.charts.control_chart import ChartBaseline, ChartKind, Subgroup, Tally

_SINGLE = frozenset({ChartKind.INDIVIDUALS, ChartKind.EWMA, ChartKind.CUSUM})


def measured_baseline(kind: ChartKind, groups: Sequence[Subgroup], least: int) -> ChartBaseline | CannotTell:
    """Work out centre and spread from groups of measured values.

    Args:
        kind: a chart of measured values.
        groups: the values behind each point, in order; as many in each.
        least: points that a baseline must have.

    Raises:
        UsageError: groups of different size, or of a size that the chart cannot take.
    """
    size = common_size(kind, groups)
    if len(groups) < max(2, least):
        return CannotTell(Doubt.TOO_FEW, len(groups), max(2, least))
    sigma = within_sigma(kind, groups, size)
    if sigma == 0:
        return CannotTell(Doubt.ALL_ALIKE, groups[0][0], 0)
    centre = fmean(value for group in groups for value in group)
    return ChartBaseline(kind, centre, sigma, size, len(groups))


def common_size(kind: ChartKind, groups: Sequence[Subgroup]) -> int:
    """Return how many values each group has; 0 if there is no group."""
    sizes = {len(group) for group in groups}
    if not sizes:
        return 0
    if len(sizes) > 1:
        raise UsageError(f"groups of {min(sizes)} to {max(sizes)} values: expected as many in each group")
    size = sizes.pop()
    if (size == 1) is not (kind in _SINGLE):
        expected = "one value for each point" if kind in _SINGLE else "groups of 2 or more"
        raise UsageError(f"a chart of {kind.value} of groups of {size}: expected {expected}")
    return size


def within_sigma(kind: ChartKind, groups: Sequence[Subgroup], size: int) -> float:
    """Return the standard deviation of the process, from what differs within groups or from one value to the next."""
    if size == 1:
        return fmean(moving_ranges(groups)) / d2(2)
    if kind is ChartKind.XBAR_S:
        return fmean(stdev(group) for group in groups) / c4(size)
    return fmean(max(group) - min(group) for group in groups) / d2(size)


def moving_ranges(groups: Sequence[Subgroup]) -> list[float]:
    """Return how far each value is from the one before it."""
    return [abs(after[0] - before[0]) for before, after in pairwise(groups)]


def counted_baseline(kind: ChartKind, tallies: Sequence[Tally], least: int) -> ChartBaseline | CannotTell:
    """Work out the mean share bad, or the mean number of defects for each disc.

    Raises:
        UsageError: a point without a disc, more bad discs than were looked at, or groups of different size on an np or
            c chart.
    """
    size = counted_size(kind, tallies)
    if len(tallies) < max(1, least):
        return CannotTell(Doubt.TOO_FEW, len(tallies), max(1, least))
    found, looked_at = sum(one.found for one in tallies), sum(one.looked_at for one in tallies)
    if found == 0:
        return CannotTell(Doubt.ALL_GOOD, looked_at, 0)
    if found == looked_at and kind in {ChartKind.P, ChartKind.NP}:
        return CannotTell(Doubt.ALL_BAD, looked_at, 0)
    return ChartBaseline(kind, found / looked_at, 0.0, size, len(tallies))


def counted_size(kind: ChartKind, tallies: Sequence[Tally]) -> int:
    """Return how many discs each point stands for on an np or c chart; 0 on the others, where that may differ."""
    for one in tallies:
        if one.looked_at < 1 or one.found < 0:
            raise UsageError(f"{one.found} found on {one.looked_at} discs: expected at least one disc")
        if kind in {ChartKind.P, ChartKind.NP} and one.found > one.looked_at:
            raise UsageError(
                f"{one.found} bad of {one.looked_at} discs: expected no more than were looked at"
            )
    sizes = {one.looked_at for one in tallies}
    if kind in {ChartKind.P, ChartKind.U} or not sizes:
        return 0
    if len(sizes) > 1:
        other = ChartKind.P if kind is ChartKind.NP else ChartKind.U
        raise UsageError(
            f"a chart of {kind.value} of {min(sizes)} to {max(sizes)} discs for each point: expected as many for each; "
            f"a chart of {other.value} takes what differs"
        )
    return sizes.pop()


def scatter(kind: ChartKind, centre: float, discs: int) -> float:
    """Return the standard deviation of a count's statistic at a point of so many discs."""
    spread = {
        ChartKind.P: centre * (1 - centre) / discs,
        ChartKind.NP: centre * (1 - centre) * discs,
        ChartKind.C: centre * discs,
        ChartKind.U: centre / discs,
    }[kind]
    return sqrt(spread)
