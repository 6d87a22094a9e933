"""Plans that allow no bad disc: as large as a confidence and a share ask for, counted exactly for the lot."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from tracelink.errors import UsageError
from tracelink.quality.sampling.attribute_plan import SamplingPlan
from tracelink.quality.zero_failure import zero_failure_n


@dataclass(frozen=True, slots=True)
class ZeroPlan(SamplingPlan):
    """A plan that allows no bad disc in its sample."""

    share: Fraction
    """The share of bad discs to be spoken against, in a hundred."""
    confidence: int
    """How surely a lot with that share shows a bad disc in the sample, per cent."""


def zero_plan(lot_size: int, share: Fraction, confidence: int) -> ZeroPlan:
    """Return the smallest sample in which a lot with so many bad discs shows one.

    Args:
        lot_size: discs in the lot, 1 or more.
        share: bad discs in a hundred, 0.1 to 99.9.
        confidence: per cent, 1 to 99.

    Raises:
        UsageError: a number is out of its range.

    Source:
        The chance of none in the sample is hypergeometric: method of Schilling (1978), "A lot sensitive sampling plan
        for compliance testing and acceptance inspection", Journal of Quality Technology 10(2), from memory.
    """
    if lot_size < 1:
        raise UsageError(f"a lot of {lot_size}: expected 1 disc or more")
    if not Fraction(1, 10) <= share <= Fraction(999, 10):
        raise UsageError(f"a share of {float(share):g} bad in a hundred: expected 0.1 to 99.9")
    size = zero_failure_n(10 * share, confidence, lot_size)
    return ZeroPlan(lot_size, size, 0, 1, share, confidence)
