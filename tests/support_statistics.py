"""Statistics that only tests ask: each stands beside published values and holds the shared steps to them."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, comb, log1p

from tracelink.errors import UsageError
from tracelink.quality.confidence import CONFIDENCE, _at_most, _require_found, _require_share, _upper
from tracelink.quality.fourfold import Fourfold, Odds, _convolved, _odds, _ways


def zero_failure_size(confidence: float, share: float) -> int:
    """How many pieces must all be clean to say that at most `share` of a process is bad.

    Args:
        confidence: above 0 and below 1.
        share: above 0 and below 1.

    Returns:
        The smallest n with (1 - share)^n <= 1 - confidence.

    Source:
        Binomial chance of no bad piece; the classic 59, 299 and 22 are such sizes.
    """
    _require_share("confidence", confidence)
    _require_share("share", share)
    size = ceil(log1p(-confidence) / log1p(-share))
    # A quotient that ought to be whole may come out a hair above or below it.
    while size > 1 and _at_most((1.0 - share) ** (size - 1), 1.0 - confidence):
        size -= 1
    while not _at_most((1.0 - share) ** size, 1.0 - confidence):
        size += 1
    return size


def zero_failure_share(confidence: float, pieces: int) -> float:
    """The largest share of bad pieces in a process that goes with `pieces` clean ones.

    Args:
        confidence: above 0 and below 1.
        pieces: clean pieces, 0 or more; none at all show nothing.

    Returns:
        0 to 1: the p with (1 - p)^pieces = 1 - confidence.
    """
    _require_share("confidence", confidence)
    return 1.0 if pieces == 0 else 1.0 - (1.0 - confidence) ** (1.0 / pieces)


def hypergeometric_size(lot: int, bad: int, confidence: float) -> int:
    """How many pieces of a lot must be looked at to find one of `bad` bad ones.

    Args:
        lot: pieces in the lot, 1 or more.
        bad: bad ones among them, 1 to `lot`.
        confidence: above 0 and below 1.

    Returns:
        The smallest n for which a clean sample of n has a chance of at most 1 - confidence.

    Source:
        Hypergeometric chance of no bad piece, the method of Schilling (1978), lot-sensitive plans.
    """
    _require_share("confidence", confidence)
    if not 1 <= bad <= lot:
        raise UsageError(f"{bad} bad pieces in a lot of {lot}: expected 1 to {lot}")
    low, high = 1, lot - bad + 1
    while low < high:
        middle = (low + high) // 2
        if _at_most(comb(lot - bad, middle) / comb(lot, middle), 1.0 - confidence):
            high = middle
        else:
            low = middle + 1
    return low


def clopper_pearson(found: int, pieces: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """The exact two-sided interval for the share of bad pieces in a process.

    Args:
        found: bad pieces, 0 to `pieces`.
        pieces: pieces looked at, 1 or more.
        confidence: above 0 and below 1.

    Source:
        NIST/SEMATECH e-Handbook 7.2.4.1 and its worked example 4 of 20.
    """
    tail = (1.0 - confidence) / 2.0
    return _lower(found, pieces, tail), _upper(found, pieces, tail)


def _lower(found: int, pieces: int, tail: float) -> float:
    from scipy.stats import beta  # noqa: PLC0415  a fifth of a second, needed here only

    _require_found(found, pieces)
    return 0.0 if found == 0 else float(beta.ppf(tail, found, pieces - found + 1))


def fisher_less(table: Fourfold) -> float:
    """The same for as few or fewer."""
    ways, first, seen = _ways(table)
    return sum(ways[: seen - first + 1]) / sum(ways)


def fisher_two_sided(table: Fourfold) -> float:
    """Chance of a table that is no more likely than this one; not twice the one-sided chance."""
    ways, first, seen = _ways(table)
    here = ways[seen - first]
    return sum(each for each in ways if each <= here) / sum(ways)


def plain_odds(table: Fourfold) -> Odds:
    """Odds ratio as it stands, with the interval of Woolf (1955); a zero cell has none.

    Raises:
        UsageError: a cell is zero.
    """
    (a, b), (c, d) = table
    if 0 in (a, b, c, d):
        raise UsageError(f"table {a}, {b}, {c}, {d} has an empty cell: its odds ratio is not finite")
    return _odds(a, b, c, d)


def stratified_two_sided(strata: Sequence[Fourfold]) -> float:
    """Exact chance of a total that is no more likely than the one seen."""
    ways, first, seen = _convolved(strata)
    here = ways[seen - first]
    return sum(each for each in ways if each <= here) / sum(ways)
