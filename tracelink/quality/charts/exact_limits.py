"""Limits of counts that are too small for three standard deviations: by the chances of the counts themselves.

Where few are expected, counts do not scatter as a normal variable does. Of discs of which one in a hundred is bad, one bad disc
among five lies beyond three standard deviations, and comes up at every twentieth point; and as most points have none, they
all lie on one side of the centre.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, comb, exp, factorial
from statistics import NormalDist

from tracelink.quality.charts.control_chart import ChartKind, ControlLimits

FEWEST = 5.0
"""Bad discs (and good ones) or defects that must be expected at a point for limits at three standard deviations: NIST/SEMATECH
e-Handbook 6.3.3.1 for defects (from memory), common practice for bad discs."""
TAIL = 1 - NormalDist().cdf(3)
"""The chance of a point beyond one limit, as a normal variable has it beyond three standard deviations."""


def too_few(kind: ChartKind, centre: float, discs: int) -> bool:
    """Return True if too few are expected at a point for limits at three standard deviations.

    Args:
        kind: a chart of counts.
        centre: share bad, or defects for each disc.
        discs: looked at for the point.
    """
    return discs < discs_for_runs(kind, centre)


def discs_for_runs(kind: ChartKind, centre: float) -> int:
    """Return how many discs a point must stand for to have limits at three standard deviations, and run rules."""
    # Rounded, so that five of fifty with a share of one in ten good ones are five.
    return ceil(round(FEWEST / _rarest(kind, centre), 9))


def _rarest(kind: ChartKind, centre: float) -> float:
    """What is expected of each disc: bad or good, whichever is rarer, or defects."""
    return min(centre, 1 - centre) if kind in {ChartKind.P, ChartKind.NP} else centre


def exact_limits(kind: ChartKind, centre: float, discs: int) -> ControlLimits:
    """Return the counts beyond which a point falls with a chance of at most `TAIL`, above and below.

    Args:
        kind: a chart of counts.
        centre: share bad, or defects for each disc.
        discs: looked at for the point.
    """
    at_most, upper, lower = 0.0, 0, None
    for count, chance in enumerate(_chances(kind, centre, discs)):
        if at_most <= TAIL and count:
            # Fewer than this are seldom enough to be a signal.
            lower = count
        at_most += chance
        upper = count
        if 1 - at_most <= TAIL:
            break
    return ControlLimits(None if lower is None else float(lower), centre * discs, float(upper))


def _chances(kind: ChartKind, centre: float, discs: int) -> Iterator[float]:
    """The chance of each count from 0 on: binomial for bad discs, Poisson for defects."""
    # Written out: a station asks while others wait, and scipy takes a second to import. The counts are small.
    if kind in {ChartKind.P, ChartKind.NP}:
        yield from (
            comb(discs, bad) * centre**bad * (1 - centre) ** (discs - bad) for bad in range(discs + 1)
        )
        return
    expected, found = centre * discs, 0
    while True:
        yield exp(-expected) * expected**found / factorial(found)
        found += 1
