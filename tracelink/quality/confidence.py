"""What clean samples show, and what they do not.

Everything here takes for granted that the pieces looked at were taken at random. A tool that fails at some
stroke is not random: whoever shows these numbers says so beside them.
"""

from __future__ import annotations

from math import ceil, comb, log1p

from tracelink.errors import UsageError

CONFIDENCE = 0.95
"""The confidence with which this program states bounds: 95 %, common practice."""


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


def most_bad(lot: int, looked_at: int, found: int, confidence: float = CONFIDENCE) -> int:
    """The largest number of bad pieces in a lot that goes with what a random sample found.

    Args:
        lot: pieces in the lot, the sample included.
        looked_at: pieces in the sample, 0 to `lot`.
        found: bad ones among them.
        confidence: above 0 and below 1.

    Returns:
        The largest D for which finding no more than `found` has a chance above 1 - confidence; counted exactly.
    """
    _require_share("confidence", confidence)
    if not 0 <= found <= looked_at <= lot:
        raise UsageError(
            f"{found} bad of {looked_at} looked at in a lot of {lot}: expected 0 <= bad <= looked at <= lot"
        )
    low, high = found, lot - (looked_at - found)
    while low < high:
        middle = (low + high + 1) // 2
        if _at_most(_chance_of_few(lot, middle, looked_at, found), 1.0 - confidence):
            high = middle - 1
        else:
            low = middle
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


def share_at_most(found: int, pieces: int, confidence: float = CONFIDENCE) -> float:
    """The exact one-sided upper limit for the share of bad pieces in a process; 1 if none was looked at."""
    return 1.0 if pieces == 0 else _upper(found, pieces, 1.0 - confidence)


def _lower(found: int, pieces: int, tail: float) -> float:
    from scipy.stats import beta  # noqa: PLC0415  a fifth of a second, needed here only

    _require_found(found, pieces)
    return 0.0 if found == 0 else float(beta.ppf(tail, found, pieces - found + 1))


def _upper(found: int, pieces: int, tail: float) -> float:
    _require_found(found, pieces)
    if found == pieces:
        return 1.0
    if found == 0:
        return 1.0 - float(tail ** (1.0 / pieces))
    from scipy.stats import beta  # noqa: PLC0415  a fifth of a second, needed here only

    return float(beta.ppf(1.0 - tail, found + 1, pieces - found))


def _chance_of_few(lot: int, bad: int, looked_at: int, found: int) -> float:
    good = lot - bad
    first = max(0, looked_at - good)
    if first > found:
        return 0.0
    ways = term = comb(bad, first) * comb(good, looked_at - first)
    for k in range(first, found):
        # Each term from the one before: binomials of thousands are slow to make anew. The division leaves no rest.
        term = term * (bad - k) * (looked_at - k) // ((k + 1) * (good - looked_at + k + 1))
        ways += term
    return ways / comb(lot, looked_at)


def _at_most(chance: float, limit: float) -> bool:
    # One part in 10^12 is the rounding of 1 - confidence, not a difference between two sample sizes.
    return chance <= limit * (1.0 + 1e-12)


def _require_share(what: str, value: float) -> None:
    if not 0.0 < value < 1.0:
        raise UsageError(f"{what} is {value}: expected more than 0 and less than 1")


def _require_found(found: int, pieces: int) -> None:
    if not 0 <= found <= pieces or pieces < 1:
        raise UsageError(f"{found} bad of {pieces} pieces: expected at least one piece and 0 to {pieces} bad")
