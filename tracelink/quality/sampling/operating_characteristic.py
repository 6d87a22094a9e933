"""What a plan lets through: the chance that a sample stays within the acceptance number, by how bad the lot is."""

from __future__ import annotations

from fractions import Fraction

from tracelink.errors import UsageError
from tracelink.quality.confidence import chance_of_few
from tracelink.quality.sampling.attribute_plan import AttributePlan, SamplingPlan
from tracelink.quality.sampling.zero_acceptance import ZeroPlan


def named_share(plan: SamplingPlan) -> Fraction:
    """The share of bad discs that a plan is named for, in a hundred: its AQL, or the share it is to detect."""
    if isinstance(plan, AttributePlan):
        return Fraction(plan.aql)
    assert isinstance(plan, ZeroPlan), "there are two kinds of plan"
    return plan.share


def within_of_lot(lot_size: int, bad: int, size: int, acceptance: int) -> float:
    """The chance that a sample of one lot is within the plan; exact (hypergeometric).

    Args:
        lot_size: discs in the lot.
        bad: bad ones among them, 0 to `lot_size`.
        size: discs in the sample, at most the lot.
        acceptance: bad ones that the plan allows.

    Raises:
        UsageError: the sample is larger than the lot, or the lot has fewer discs than bad ones.
    """
    if size > lot_size:
        raise UsageError(f"a sample of {size} from a lot of {lot_size}: expected at most {lot_size}")
    if not 0 <= bad <= lot_size:
        raise UsageError(f"{bad} bad discs in a lot of {lot_size}: expected 0 to {lot_size}")
    return chance_of_few(lot_size, bad, size, min(acceptance, size, bad))


def share_within(size: int, acceptance: int, chance: float) -> float:
    """The share of bad discs at which a sample of a steady process is within the plan with a given chance (binomial)."""
    # From scipy.special: scipy.stats gives the same and takes three times as long to import.
    from scipy.special import betaincinv  # noqa: PLC0415  a third of a second, needed here only

    if not 0.0 <= chance <= 1.0:
        raise UsageError(f"a chance of {chance}: expected 0 to 1")
    if acceptance >= size:
        raise UsageError(f"{acceptance} bad allowed in a sample of {size}: such a sample shows nothing")
    return float(betaincinv(acceptance + 1, size - acceptance, 1.0 - chance))
