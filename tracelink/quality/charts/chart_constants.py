"""The factors that turn ranges and standard deviations of small groups into control limits.

d2 and d3 have the digits that tables print (three and four), so that limits agree with those that a handbook or a
person with that table works out; the error against the integral is below 0.05 %. The others follow from them. Source of
each value: tests/vectors/charts.json.
"""

from functools import cache
from math import exp, lgamma, sqrt

from tracelink.errors import UsageError

_D2 = (1.128, 1.693, 2.059, 2.326, 2.534, 2.704, 2.847, 2.970, 3.078)
_D3 = (0.8525, 0.8884, 0.8798, 0.8641, 0.8480, 0.8332, 0.8198, 0.8078, 0.7971)
LARGEST_RANGE_GROUP = len(_D2) + 1
"""Values in a group of which the range is charted; of more the range wastes what they say, and s is charted."""


def d2(size: int) -> float:
    """Return the mean range of `size` normal values of standard deviation 1; 2 to 10 values."""
    return _D2[_place(size)]


def d3(size: int) -> float:
    """Return the standard deviation of that range."""
    return _D3[_place(size)]


@cache
def c4(size: int) -> float:
    """Return the mean standard deviation of `size` normal values of standard deviation 1; 2 values or more."""
    if size < 2:
        raise UsageError(f"a group of {size}: expected 2 values or more, one has no spread")
    return sqrt(2 / (size - 1)) * exp(lgamma(size / 2) - lgamma((size - 1) / 2))


def range_limits(size: int) -> tuple[float, float]:
    """Return what the mean range is multiplied by for its limits: D3 and D4."""
    width = 3 * d3(size) / d2(size)
    return max(0.0, 1 - width), 1 + width


def deviation_limits(size: int) -> tuple[float, float]:
    """Return what the mean standard deviation is multiplied by for its limits: B3 and B4."""
    width = 3 * sqrt(1 - c4(size) ** 2) / c4(size)
    return max(0.0, 1 - width), 1 + width


def _place(size: int) -> int:
    if not 2 <= size <= LARGEST_RANGE_GROUP:
        raise UsageError(f"a range of {size} values: expected groups of 2 to {LARGEST_RANGE_GROUP}")
    return size - 2
