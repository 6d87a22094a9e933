"""How many cartons to open, to compare what is in them with the record.

The plan accepts on zero: one carton that differs is a finding, whatever the number opened.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import repeat

from tracelink.errors import UsageError


def zero_failure_n(
    error_permille: Fraction | int, confidence_percent: int, population: int | None = None
) -> int:
    """Return how many to open so that none differing speaks against so high an error rate.

    Args:
        error_permille: the share of wrong cartons to be spoken against, in thousandths, 1 to 999, as exactly as given.
        confidence_percent: 1 to 99.
        population: how many cartons there are, 1 or more; None for very many. Never more than these are opened.

    Returns:
        The smallest n for which a sample of n without a wrong one has a chance of 1 - confidence or less if the
        share of wrong ones is `error_permille` or more.

    Raises:
        UsageError: a number is out of its range.

    Source:
        Zero-failure (c = 0) sampling: n = ln(1 - C) / ln(1 - p), rounded up; for a known population the
        hypergeometric chance in place of the power.
    """
    if not 1 <= error_permille <= 999:
        raise UsageError(f"error rate is {float(error_permille):g} in a thousand: expected 1 to 999")
    if not 1 <= confidence_percent <= 99:
        raise UsageError(f"confidence is {confidence_percent} %: expected 1 to 99")
    allowed = 100 - confidence_percent
    draws: Iterator[tuple[int, int]]
    if population is None:
        share = Fraction(1000 - error_permille, 1000)
        draws = repeat((share.numerator, share.denominator))
    elif population < 1:
        raise UsageError(f"there are {population} cartons: expected 1 or more")
    else:
        good = population - max(1, -(-population * error_permille // 1000))
        # What is opened is not put back. A factor of 0, once all good ones are open, ends it at the latest.
        draws = ((good - opened, population - opened) for opened in range(population))
    # The chance that all opened so far are right, as two whole numbers: logarithms land a hair above or below where it is
    # met exactly, and fractions are reduced anew at each step.
    n, right, all_ways = 0, 1, 1
    while 100 * right > allowed * all_ways:
        of_right, of_all = next(draws)
        n, right, all_ways = n + 1, right * of_right, all_ways * of_all
    return n
