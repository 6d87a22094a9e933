"""Whether a process can keep a tolerance, with how surely that is known; or why the data cannot tell.

Cp and Cpk use the standard deviation within groups: what the process could do. Pp and Ppk use that of all values: what
it did. The intervals: Cp and Pp by the chi-square distribution of the variance, Cpk and Ppk by Bissell's normal
approximation (from memory; how often they hold the truth is measured by the tests). Degrees of
freedom of a mean range are the usual approximations 0.9 k (n - 1) for k groups of n and 0.62 (k - 1) for moving
ranges (from memory, measured there as well).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt
from statistics import NormalDist, fmean, stdev

from tracelink.errors import UsageError
from tracelink.quality.cannot_tell import CannotTell, Doubt
from tracelink.quality.charts.chart_baseline import measured_baseline
from tracelink.quality.charts.control_chart import ChartBaseline, ChartKind, ChartTuning, Subgroup
from tracelink.quality.charts.measured_chart import measured_chart
from tracelink.quality.charts.run_rules import RuleSet, RunRule
from tracelink.quality.confidence import CONFIDENCE
from tracelink.quality.estimate import Estimate

NORMAL_ENOUGH = 0.01
"""Chance p of Shapiro and Wilk's test below which the values are not taken for normal: common practice."""
_MOST_TESTED = 5000
"""Values up to which that test's chance is accurate."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """The limits that a value must keep; one of them may be missing."""

    lower: float | None
    """Least allowed value."""
    upper: float | None
    """Largest allowed value."""

    def __post_init__(self) -> None:
        """Refuse limits that no value can keep."""
        if self.lower is not None and self.upper is not None and self.lower >= self.upper:
            raise UsageError(
                f"limits {self.lower} to {self.upper}: expected the lower one below the upper one"
            )


@dataclass(frozen=True, slots=True)
class Capability:
    """How the spread of a process compares with its tolerance."""

    mean: float
    """Mean of the values."""
    sigma: float
    """Standard deviation within groups."""
    deviation: float
    """Standard deviation of all values."""
    values: int
    """How many there are."""
    cp: Estimate | None
    """Tolerance by six standard deviations within groups; None if a limit is missing."""
    cpk: Estimate
    """Distance of the mean from the nearer limit by three of them."""
    pp: Estimate | None
    """As `cp`, with the standard deviation of all values."""
    ppk: Estimate
    """As `cpk`, with that."""


def capability(
    kind: ChartKind,
    groups: Sequence[Subgroup],
    tolerance: Tolerance,
    least: int,
    tuning: ChartTuning,
) -> Capability | CannotTell:
    """Work out the capability of a process from values in the order in which they were made.

    Args:
        kind: how the values are grouped: individuals, xbar-r or xbar-s.
        groups: the values.
        tolerance: the limits.
        least: values that there must be.
        tuning: passed on to the chart that the values are judged by.

    Returns:
        The capability; or why the data do not allow it: no limit, too few values, all alike, a process that is not in
        control, values that are not normal. What is not stable has no capability, and the share beyond a limit does not
        follow from a standard deviation where values are not normal.

    Raises:
        UsageError: groups that the kind of chart cannot take.
    """
    if tolerance.lower is None and tolerance.upper is None:
        return CannotTell(Doubt.NO_LIMIT, 0, 1)
    values = [value for group in groups for value in group]
    if len(values) < least:
        return CannotTell(Doubt.TOO_FEW, len(values), least)
    baseline = measured_baseline(kind, groups, 2)
    if isinstance(baseline, CannotTell):
        return baseline
    unstable = _first_beyond(baseline, groups, tuning)
    if unstable is not None:
        return CannotTell(Doubt.NOT_IN_CONTROL, unstable, 0)
    chance = normal_chance(values)
    if chance < NORMAL_ENOUGH:
        return CannotTell(Doubt.NOT_NORMAL, chance, NORMAL_ENOUGH)
    mean, deviation = fmean(values), stdev(values)
    within = _indices(tolerance, mean, baseline.sigma, _freedom(baseline), len(values))
    overall = _indices(tolerance, mean, deviation, len(values) - 1, len(values))
    return Capability(mean, baseline.sigma, deviation, len(values), *within, *overall)


def normal_chance(values: Sequence[float]) -> float:
    """Return the chance of values as far from normal as these, were they normal (Shapiro and Wilk)."""
    from scipy.stats import shapiro  # noqa: PLC0415  a second to import, needed here only

    # Beyond that many the test finds every rounding; an even choice of them says enough.
    step = -(-len(values) // _MOST_TESTED)
    return float(shapiro(list(values)[::step]).pvalue)


def nearer_limit(tolerance: Tolerance, mean: float, sigma: float) -> float:
    """Return the distance of the mean from the nearer limit, by three standard deviations; negative beyond it."""
    sides = []
    if tolerance.upper is not None:
        sides.append((tolerance.upper - mean) / (3 * sigma))
    if tolerance.lower is not None:
        sides.append((mean - tolerance.lower) / (3 * sigma))
    return min(sides)


def _first_beyond(baseline: ChartBaseline, groups: Sequence[Subgroup], tuning: ChartTuning) -> int | None:
    """The first point beyond a limit of its chart, or beyond one of the weighted means, which see a drift."""
    # Not by every run rule: of sixty points of a stable process more than half have one that signals by chance.
    chart = measured_chart(baseline, groups, RuleSet.WESTERN_ELECTRIC, tuning)
    means = [(fmean(group),) for group in groups]
    of_means = replace(baseline, kind=ChartKind.EWMA, sigma=baseline.sigma / sqrt(baseline.size), size=1)
    panels = (
        *chart.warning_panels,
        *measured_chart(of_means, means, RuleSet.WESTERN_ELECTRIC, tuning).panels,
    )
    limits = {RunRule.BEYOND_3S, RunRule.BEYOND_LIMIT}
    return min(
        (signal.point for panel in panels for signal in panel.signals if signal.rule in limits), default=None
    )


def _freedom(baseline: ChartBaseline) -> float:
    if baseline.size == 1:
        return 0.62 * (baseline.points - 1)
    share = 0.9 if baseline.kind is ChartKind.XBAR_R else 1.0
    return share * baseline.points * (baseline.size - 1)


def _indices(
    tolerance: Tolerance, mean: float, sigma: float, freedom: float, values: int
) -> tuple[Estimate | None, Estimate]:
    both = None
    if tolerance.lower is not None and tolerance.upper is not None:
        ratio = (tolerance.upper - tolerance.lower) / (6 * sigma)
        low, high = (sqrt(bound / freedom) for bound in chi_square_interval(freedom, CONFIDENCE))
        both = Estimate(ratio, ratio * low, ratio * high)
    nearer = nearer_limit(tolerance, mean, sigma)
    reach = NormalDist().inv_cdf((1 + CONFIDENCE) / 2)
    error = reach * sqrt(1 / (9 * values) + nearer**2 / (2 * freedom))
    return both, Estimate(nearer, nearer - error, nearer + error)


def chi_square_interval(freedom: float, confidence: float) -> tuple[float, float]:
    """Return the ends of the interval that holds a chi-square variable, with as much left out on each side."""
    # The inverse of the incomplete gamma function: scipy.stats gives the same and takes three times as long to import.
    from scipy.special import gammaincinv  # noqa: PLC0415  a third of a second, needed here only

    tail = (1 - confidence) / 2
    return (
        2 * float(gammaincinv(freedom / 2, tail)),
        2 * float(gammaincinv(freedom / 2, 1 - tail)),
    )
