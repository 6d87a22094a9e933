"""Mean squares, and intervals for sums and differences of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt

Part = tuple["MeanSquare", float]
"""A mean square and what it is multiplied by in a sum; negative where it is taken off."""


@dataclass(frozen=True, slots=True)
class MeanSquare:
    """A sum of squares with its degrees of freedom."""

    squares: float
    """The sum."""
    freedom: int
    """Its degrees of freedom, 1 or more."""

    @property
    def mean(self) -> float:
        """The sum by its degrees of freedom."""
        return self.squares / self.freedom


def f_chance(square: MeanSquare, beside: MeanSquare) -> float | None:
    """Return the chance of a ratio as large if both estimate one variance; None if there is nothing to compare with."""
    from scipy.special import fdtrc  # noqa: PLC0415  a third of a second, needed here only

    if not beside.mean:
        return None
    return float(fdtrc(square.freedom, beside.freedom, square.mean / beside.mean))


def combined_interval(parts: Sequence[Part], confidence: float) -> tuple[float, float]:
    """Return the interval of a sum of mean squares, by the modified large-sample method; 0 at least.

    Args:
        parts: mean squares with their factors; at most one factor may be negative, then in a sum of two.
        confidence: of the interval, the same chance left out on each side.
    """
    value = sum(factor * square.mean for square, factor in parts)
    tail = (1 - confidence) / 2
    low = high = 0.0
    for square, factor in parts:
        weight = (factor * square.mean) ** 2
        shorter, longer = _shorter(square, tail), _longer(square, tail)
        # What counts downwards is at its largest where the sum is at its least.
        low += weight * (shorter if factor > 0 else longer) ** 2
        high += weight * (longer if factor > 0 else shorter) ** 2
    if any(factor < 0 for _square, factor in parts):
        (first, up), (second, down) = parts
        crossed = up * -down * first.mean * second.mean
        low += crossed * _crossed_low(first, second, tail)
        high += crossed * _crossed_high(first, second, tail)
    return max(0.0, value - sqrt(max(0.0, low))), max(0.0, value + sqrt(max(0.0, high)))


def _quantile(upper: float, freedom: float, beside: float) -> float:
    """The value that an F variable exceeds with the chance `upper`."""
    from scipy.special import fdtri, gammaincinv  # noqa: PLC0415  a third of a second, needed here only

    if beside == inf:
        return 2 * float(gammaincinv(freedom / 2, 1 - upper)) / freedom
    return float(fdtri(freedom, beside, 1 - upper))


def _shorter(square: MeanSquare, tail: float) -> float:
    return 1 - 1 / _quantile(tail, square.freedom, inf)


def _longer(square: MeanSquare, tail: float) -> float:
    return 1 / _quantile(1 - tail, square.freedom, inf) - 1


def _crossed_low(first: MeanSquare, second: MeanSquare, tail: float) -> float:
    ratio = _quantile(tail, first.freedom, second.freedom)
    return ((ratio - 1) ** 2 - (_shorter(first, tail) * ratio) ** 2 - _longer(second, tail) ** 2) / ratio


def _crossed_high(first: MeanSquare, second: MeanSquare, tail: float) -> float:
    ratio = _quantile(1 - tail, first.freedom, second.freedom)
    return ((1 - ratio) ** 2 - (_longer(first, tail) * ratio) ** 2 - _shorter(second, tail) ** 2) / ratio
