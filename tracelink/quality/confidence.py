"""What clean samples show, and what they do not.

Everything here takes for granted that the pieces looked at were taken at random. A tool that fails at some
stroke is not random: whoever shows these numbers says so beside them.
"""

from __future__ import annotations

from math import comb

from tracelink.errors import UsageError

CONFIDENCE = 0.95
"""The confidence with which this program states bounds: 95 %, common practice."""


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
        if _at_most(chance_of_few(lot, middle, looked_at, found), 1.0 - confidence):
            high = middle - 1
        else:
            low = middle
    return low


def share_at_most(found: int, pieces: int, confidence: float = CONFIDENCE) -> float:
    """The exact one-sided upper limit for the share of bad pieces in a process; 1 if none was looked at."""
    return 1.0 if pieces == 0 else _upper(found, pieces, 1.0 - confidence)


def _upper(found: int, pieces: int, tail: float) -> float:
    _require_found(found, pieces)
    if found == pieces:
        return 1.0
    if found == 0:
        return 1.0 - float(tail ** (1.0 / pieces))
    # The inverse of the beta distribution, from scipy.special: scipy.stats gives the same and takes three times as
    # long to import, more than the rest of a containment.
    from scipy.special import betaincinv  # noqa: PLC0415  a third of a second, needed here only

    return float(betaincinv(found + 1, pieces - found, 1.0 - tail))


def chance_of_few(lot: int, bad: int, looked_at: int, found: int) -> float:
    """The chance that a random sample of a lot holds no more than `found` bad pieces; counted exactly."""
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
