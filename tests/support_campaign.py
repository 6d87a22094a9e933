"""How much random tests try: what finds faults in the default run, and as much more as is asked for.

`RUNOUT_CAMPAIGN=50` lets every random test try fifty times as much as by default: thousands of plants and histories.
The default is small because it runs at every change. Where a few examples were chosen among many, they are those that
together reach what all of them reached.
"""

import itertools
import os
from collections.abc import Sequence

TIMES = max(1, int(os.environ.get("RUNOUT_CAMPAIGN") or 1))


def tries(few: int) -> int:
    """Return how many random examples to try where `few` are enough by default."""
    return few * TIMES


def seeds(chosen: Sequence[int]) -> list[int]:
    """Return the chosen seeds, in a campaign with as many more as that makes: the smallest that were not chosen."""
    others = (seed for seed in itertools.count() if seed not in chosen)
    return [*chosen, *itertools.islice(others, tries(len(chosen)) - len(chosen))]
