"""How far two inspectors agree beyond chance: Cohen's kappa with its interval.

The standard error is that of Fleiss, Cohen and Everitt (1969), from memory; checked against an independent library
in tests/vectors/agreement.json. It is one for many pieces: with few the interval is too narrow, which whoever shows it says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

from tracelink.errors import UsageError
from tracelink.quality.cannot_tell import CannotTell, Doubt
from tracelink.quality.confidence import CONFIDENCE
from tracelink.quality.estimate import Estimate

Table = Sequence[Sequence[int]]
"""Rows: what the first inspector said; columns: the second; each cell how many pieces."""


@dataclass(frozen=True, slots=True)
class Kappa:
    """How far two inspectors agree."""

    pieces: int
    """Pieces that both judged."""
    agreed: float
    """Share on which they agree."""
    by_chance: float
    """Share on which they would agree by chance, each with the shares of their own verdicts."""
    kappa: Estimate | None
    """Agreement beyond chance, 1 at most; None where both gave one verdict only, the same: then chance explains all."""
    for_each: tuple[float | None, ...]
    """For each verdict: of the pieces that either gave it, the share that both did; None if neither gave it."""


def cohen_kappa(table: Table, confidence: float = CONFIDENCE) -> Kappa | CannotTell:
    """Compare the verdicts of two inspectors on the same pieces.

    Args:
        table: as many columns as rows, verdicts in the same order.
        confidence: of the interval.

    Returns:
        The agreement; or that no piece was judged by both.

    Raises:
        UsageError: the table is not square, or a count is below 0.
    """
    size = len(table)
    if any(len(row) != size for row in table) or any(cell < 0 for row in table for cell in row):
        raise UsageError(
            "a table of two inspectors: expected as many columns as rows, and counts of 0 or more"
        )
    pieces = sum(sum(row) for row in table)
    if not pieces:
        return CannotTell(Doubt.TOO_FEW, 0, 1)
    shares = [[cell / pieces for cell in row] for row in table]
    first = [sum(row) for row in shares]
    second = [sum(row[verdict] for row in shares) for verdict in range(size)]
    agreed = sum(shares[verdict][verdict] for verdict in range(size))
    chance = sum(one * other for one, other in zip(first, second, strict=True))
    for_each = tuple(_both(table, verdict) for verdict in range(size))
    if sum(share > 0 for share in first) == 1 and agreed == 1:
        return Kappa(pieces, agreed, chance, None, for_each)
    kappa = (agreed - chance) / (1 - chance)
    error = _error(shares, first, second, kappa) / sqrt(pieces)
    reach = NormalDist().inv_cdf((1 + confidence) / 2) * error
    return Kappa(
        pieces, agreed, chance, Estimate(kappa, max(-1.0, kappa - reach), min(1.0, kappa + reach)), for_each
    )


def _both(table: Table, verdict: int) -> float | None:
    both = table[verdict][verdict]
    either = sum(table[verdict]) + sum(row[verdict] for row in table) - both
    return both / either if either else None


def _error(
    shares: Sequence[Sequence[float]], first: Sequence[float], second: Sequence[float], kappa: float
) -> float:
    """Standard error of kappa for one piece; divide by the root of how many there are."""
    size = range(len(first))
    chance = sum(first[i] * second[i] for i in size)
    on = sum(shares[i][i] * (1 - (first[i] + second[i]) * (1 - kappa)) ** 2 for i in size)
    off = (1 - kappa) ** 2 * sum(
        shares[i][j] * (second[i] + first[j]) ** 2 for i in size for j in size if i != j
    )
    variance = (on + off - (kappa - chance * (1 - kappa)) ** 2) / (1 - chance) ** 2
    return sqrt(max(0.0, variance))
