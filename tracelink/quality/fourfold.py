"""Two by two tables: bad and good pieces, made with a thing and without it.

A table is ((a, b), (c, d)): bad and good with the thing, then bad and good without. Chances are counted with
whole numbers and divided once, so that equal tables never differ by rounding.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb, erfc, exp, log, sqrt

from tracelink.errors import UsageError

Fourfold = tuple[tuple[int, int], tuple[int, int]]
"""((a, b), (c, d)), all 0 or more."""

NORMAL_95 = 1.959963984540054
"""The two-sided 95 % point of the normal distribution."""


@dataclass(frozen=True, slots=True)
class Odds:
    """An odds ratio with its interval."""

    ratio: float
    """Above 1: more bad pieces with the thing than without."""
    low: float
    """Lower end of the 95 % interval."""
    high: float
    """Upper end."""


@dataclass(frozen=True, slots=True)
class Stratified:
    """What the tables of several strata say together."""

    chi2: float
    """Mantel-Haenszel statistic, one degree of freedom."""
    p: float
    """Two-sided."""
    ratio: float | None
    """Common odds ratio; None if no stratum tells anything against it, so that it would be infinite."""
    low: float | None
    """Lower end of its 95 % interval (Robins, Breslow and Greenland 1986)."""
    high: float | None
    """Upper end."""
    telling: int
    """Strata that say anything: no margin is zero."""


def fisher_greater(table: Fourfold) -> float:
    """Chance of as many bad pieces with the thing, or more, if it made no difference (Fisher 1935)."""
    ways, first, seen = _ways(table)
    return sum(ways[seen - first :]) / sum(ways)


def half_added_odds(table: Fourfold) -> Odds:
    """Odds ratio after adding one half to all four cells, always, so that zeros need no rule of their own.

    Source:
        The rule of Haldane and Anscombe, as cited by Everitt (1996).
    """
    (a, b), (c, d) = table
    return _odds(a + 0.5, b + 0.5, c + 0.5, d + 0.5)


def mantel_haenszel(strata: Sequence[Fourfold], *, continuity: bool = True) -> Stratified:
    """Compare within strata and put the comparisons together.

    Args:
        strata: one table per stratum; those with an empty margin say nothing and are passed over.
        continuity: whether the difference is made smaller by up to one half, as for whole pieces.

    Raises:
        UsageError: no stratum says anything.

    Source:
        Mantel and Haenszel (1959); Robins, Breslow and Greenland (1986) for the interval.
    """
    told = [table for table in strata if _tells(table)]
    if not told:
        raise UsageError("no stratum has bad and good pieces both with and without the thing")
    difference = variance = 0.0
    for (a, b), (c, d) in told:
        total = a + b + c + d
        difference += a - (a + b) * (a + c) / total
        variance += (a + b) * (c + d) * (a + c) * (b + d) / (total**2 * (total - 1))
    distance = abs(difference)
    chi2 = (distance - (min(0.5, distance) if continuity else 0.0)) ** 2 / variance
    ratio, low, high = _common(told)
    return Stratified(chi2, erfc(sqrt(chi2 / 2.0)), ratio, low, high, len(told))


def stratified_greater(strata: Sequence[Fourfold]) -> float:
    """Exact chance of as many bad pieces with the thing over all strata, or more."""
    ways, first, seen = _convolved(strata)
    return sum(ways[seen - first :]) / sum(ways)


def homogeneity(strata: Sequence[Fourfold]) -> float:
    """Chance of odds ratios this different between strata if they were the same (Woolf's test, a half added).

    A small value says that one common ratio is not a fair summary.
    """
    from scipy.special import chdtrc  # noqa: PLC0415  a third of a second, needed here only

    logs, weights = [], []
    for (a, b), (c, d) in strata:
        cells = [cell + 0.5 for cell in (a, b, c, d)]
        logs.append(log(cells[0] * cells[3] / (cells[1] * cells[2])))
        weights.append(1.0 / sum(1.0 / cell for cell in cells))
    mean = sum(w * each for w, each in zip(weights, logs, strict=True)) / sum(weights)
    spread = sum(w * (each - mean) ** 2 for w, each in zip(weights, logs, strict=True))
    return float(chdtrc(len(logs) - 1, spread))


def _ways(table: Fourfold) -> tuple[list[int], int, int]:
    """Ways to get each count in the first cell with these margins, the first count, and the count seen."""
    (a, b), (c, d) = table
    if min(a, b, c, d) < 0:
        raise UsageError(f"table {a}, {b}, {c}, {d}: expected counts of 0 or more")
    with_it, without, bad = a + b, c + d, a + c
    first, last = max(0, bad - without), min(with_it, bad)
    return [comb(with_it, k) * comb(without, bad - k) for k in range(first, last + 1)], first, a


def _convolved(strata: Sequence[Fourfold]) -> tuple[list[int], int, int]:
    total, begin, seen = [1], 0, 0
    for table in strata:
        ways, first, here = _ways(table)
        folded = [0] * (len(total) + len(ways) - 1)
        for i, left in enumerate(total):
            for j, right in enumerate(ways):
                folded[i + j] += left * right
        total, begin, seen = folded, begin + first, seen + here
    return total, begin, seen


def _tells(table: Fourfold) -> bool:
    (a, b), (c, d) = table
    return 0 not in (a + b, c + d, a + c, b + d)


def _odds(a: float, b: float, c: float, d: float) -> Odds:
    middle = log(a * d / (b * c))
    reach = NORMAL_95 * sqrt(1 / a + 1 / b + 1 / c + 1 / d)
    return Odds(exp(middle), exp(middle - reach), exp(middle + reach))


def _common(strata: Sequence[Fourfold]) -> tuple[float | None, float | None, float | None]:
    r_sum = s_sum = pr = ps_qr = qs = 0.0
    for (a, b), (c, d) in strata:
        total = a + b + c + d
        r, s, p, q = a * d / total, b * c / total, (a + d) / total, (b + c) / total
        r_sum, s_sum = r_sum + r, s_sum + s
        pr, ps_qr, qs = pr + p * r, ps_qr + p * s + q * r, qs + q * s
    if s_sum == 0:
        return None, None, None
    ratio = r_sum / s_sum
    if r_sum == 0:
        return ratio, None, None
    reach = NORMAL_95 * sqrt(pr / (2 * r_sum**2) + ps_qr / (2 * r_sum * s_sum) + qs / (2 * s_sum**2))
    return ratio, ratio * exp(-reach), ratio * exp(reach)
