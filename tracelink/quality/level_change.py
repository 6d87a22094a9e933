"""Where a row of measured values changed its level or began to drift, and how closely that is known.

Two shapes are tried at every place between two values: a step (one mean before, another after) and a bend (one mean
before, a straight line from there on). Each place is weighed by how well it fits: under equal scatter the weight of a
least-squares fit goes as the rest of its squares to the power of minus half the number of values. The places that hold
95 % of the weight are the interval of the onset. How often it holds the true one is measured by the tests.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import exp, log
from statistics import fmean

from tracelink.quality.cannot_tell import CannotTell, Doubt
from tracelink.quality.confidence import CONFIDENCE

LEAST = 5
"""Values below which no onset is looked for: two lines and a scatter need them."""


class ChangeShape(StrEnum):
    """How a level changes."""

    STEP = "step"
    DRIFT = "drift"


@dataclass(frozen=True, slots=True)
class LevelChange:
    """The likeliest onset of a change, and where it may lie."""

    shape: ChangeShape
    """Which shape fits better."""
    before: int
    """Values before the likeliest onset: it lies between value `before` and the next."""
    earliest: int
    """The same for the earliest onset of the interval."""
    latest: int
    """The same for the latest."""
    mean_before: float
    """Mean of the values before the likeliest onset."""
    mean_after: float
    """Mean of those after it."""


def level_change(
    values: Sequence[float], places: Sequence[float], confidence: float = CONFIDENCE
) -> LevelChange | CannotTell:
    """Find where a row of values changed.

    Args:
        values: in the order in which they were made.
        places: where each lies, such as its stroke; ascending.
        confidence: of the interval of the onset.

    Returns:
        The change, whether there is one or not: that is for a chart to say. Or that the values are too few or all alike.
    """
    if len(values) < LEAST:
        return CannotTell(Doubt.TOO_FEW, len(values), LEAST)
    if min(values) == max(values):
        return CannotTell(Doubt.ALL_ALIKE, values[0], 0)
    fits = {
        (shape, before): rest(values, places, before)
        for shape, rest in _RESTS.items()
        for before in range(1, len(values))
    }
    shape, before = min(fits, key=fits.__getitem__)
    held = _held(fits, len(values), confidence)
    return LevelChange(shape, before, min(held), max(held), fmean(values[:before]), fmean(values[before:]))


def _held(fits: dict[tuple[ChangeShape, int], float], values: int, confidence: float) -> list[int]:
    """The places that hold the weight asked for, the weightiest first."""
    # A fit without any rest would weigh without end: a rounding of the values is left to it.
    floor = 1e-12 * max(fits.values())
    logs = {key: -values / 2 * log(max(rest, floor)) for key, rest in fits.items()}
    top = max(logs.values())
    weights: dict[int, float] = {}
    for (_shape, before), weight in logs.items():
        weights[before] = weights.get(before, 0.0) + exp(weight - top)
    whole, held, places = sum(weights.values()), 0.0, []
    for place in sorted(weights, key=lambda one: (-weights[one], one)):
        places.append(place)
        held += weights[place]
        if held >= confidence * whole:
            break
    return places


def _step(values: Sequence[float], _places: Sequence[float], before: int) -> float:
    return sum(
        sum((value - fmean(part)) ** 2 for value in part) for part in (values[:before], values[before:])
    )


def _bend(values: Sequence[float], places: Sequence[float], before: int) -> float:
    """Rest of the squares of a level line that bends at the last value before the onset."""
    risen = [max(0.0, place - places[before - 1]) for place in places]
    mean_risen, mean = fmean(risen), fmean(values)
    across = sum((run - mean_risen) * (value - mean) for run, value in zip(risen, values, strict=True))
    along = sum((run - mean_risen) ** 2 for run in risen)
    slope = across / along if along else 0.0
    return sum(
        (value - mean - slope * (run - mean_risen)) ** 2 for run, value in zip(risen, values, strict=True)
    )


_RESTS: dict[ChangeShape, Callable[[Sequence[float], Sequence[float], int], float]] = {
    ChangeShape.STEP: _step,
    ChangeShape.DRIFT: _bend,
}
