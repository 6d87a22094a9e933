"""Looking at many candidates at once finds something by chance alone; this corrects for it."""

from __future__ import annotations

from collections.abc import Sequence


def benjamini_hochberg(chances: Sequence[float]) -> list[float]:
    """Adjusted p values, in the order given; those up to q are found with a false discovery rate of q.

    Args:
        chances: p values, 0 to 1.

    Source:
        Benjamini and Hochberg (1995), J. Royal Statistical Society B 57, 289-300.
    """
    order = sorted(range(len(chances)), key=chances.__getitem__, reverse=True)
    adjusted = [1.0] * len(chances)
    smallest = 1.0
    for place, at in enumerate(order):
        smallest = min(smallest, chances[at] * len(chances) / (len(chances) - place))
        adjusted[at] = smallest
    return adjusted
