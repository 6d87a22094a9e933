"""Which points of a chart are a signal: beyond a limit, or one of a run that chance seldom makes.

A point is judged by its distance from the centre in standard deviations, so that limits may differ from point to
point. Every rule is strict: a point on a line is not beyond it. The point that signals is itself part of the pattern.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

Distances = Sequence[float]


class RuleSet(StrEnum):
    """A published set of rules."""

    WESTERN_ELECTRIC = "western-electric"
    NELSON = "nelson"

    @property
    def rules(self) -> tuple[RunRule, ...]:
        """Its rules, in the order in which they were published."""
        return _SETS[self]


class RunRule(StrEnum):
    """One rule."""

    BEYOND_3S = "1-beyond-3s"
    TWO_OF_THREE = "2-of-3-beyond-2s"
    FOUR_OF_FIVE = "4-of-5-beyond-1s"
    EIGHT_ONE_SIDE = "8-on-one-side"
    NINE_ONE_SIDE = "9-on-one-side"
    SIX_STEADY = "6-rising-or-falling"
    FOURTEEN_ALTERNATING = "14-alternating"
    FIFTEEN_WITHIN = "15-within-1s"
    EIGHT_BEYOND = "8-beyond-1s"
    BEYOND_LIMIT = "beyond-limit"
    """Of a chart that remembers (EWMA, CUSUM) or of spread: it has limits only."""


@dataclass(frozen=True, slots=True)
class Signal:
    """A point that is a signal."""

    point: int
    """Its number, from 1."""
    rule: RunRule
    """Which rule says so."""


def run_signals(distances: Distances, rules: RuleSet) -> tuple[Signal, ...]:
    """Return the signals of a row of points, by point, then in the order of the rules.

    Args:
        distances: of each point from its centre line, in standard deviations, up positive.
        rules: the set of rules.
    """
    return tuple(
        Signal(last, rule)
        for last in range(1, len(distances) + 1)
        for rule in rules.rules
        if _ends_in(distances, last, rule)
    )


def _ends_in(distances: Distances, last: int, rule: RunRule) -> bool:
    length, pattern = _PATTERNS[rule]
    if last < length and rule not in _ANY_LENGTH:
        return False
    window = distances[max(0, last - length) : last]
    return any(pattern(side) for side in _both_sides(window))


def _both_sides(window: Distances) -> Iterator[Distances]:
    """The points as they are and mirrored, so that a pattern need only be told for the upper side."""
    yield window
    yield [-distance for distance in window]


def _beyond(limit: float, needed: int) -> Callable[[Distances], bool]:
    def pattern(window: Distances) -> bool:
        return window[-1] > limit and sum(distance > limit for distance in window) >= needed

    return pattern


def _steady(window: Distances) -> bool:
    return all(before < after for before, after in pairwise(window))


def _alternating(window: Distances) -> bool:
    steps = [after - before for before, after in pairwise(window)]
    return all(before * after < 0 for before, after in pairwise(steps))


def _within(window: Distances) -> bool:
    return all(abs(distance) < 1 for distance in window)


def _away(window: Distances) -> bool:
    return all(abs(distance) > 1 for distance in window)


_PATTERNS: dict[RunRule, tuple[int, Callable[[Distances], bool]]] = {
    RunRule.BEYOND_3S: (1, _beyond(3, 1)),
    RunRule.TWO_OF_THREE: (3, _beyond(2, 2)),
    RunRule.FOUR_OF_FIVE: (5, _beyond(1, 4)),
    RunRule.EIGHT_ONE_SIDE: (8, _beyond(0, 8)),
    RunRule.NINE_ONE_SIDE: (9, _beyond(0, 9)),
    RunRule.SIX_STEADY: (6, _steady),
    RunRule.FOURTEEN_ALTERNATING: (14, _alternating),
    RunRule.FIFTEEN_WITHIN: (15, _within),
    RunRule.EIGHT_BEYOND: (8, _away),
}
"""Rule -> points it looks at, and the pattern that they make on the upper side."""
_ANY_LENGTH = frozenset({RunRule.TWO_OF_THREE, RunRule.FOUR_OF_FIVE})
"""Rules that may be met before there are as many points as they look at: two of two are two of three."""

_SETS: dict[RuleSet, tuple[RunRule, ...]] = {
    RuleSet.WESTERN_ELECTRIC: (
        RunRule.BEYOND_3S,
        RunRule.TWO_OF_THREE,
        RunRule.FOUR_OF_FIVE,
        RunRule.EIGHT_ONE_SIDE,
    ),
    RuleSet.NELSON: (
        RunRule.BEYOND_3S,
        RunRule.NINE_ONE_SIDE,
        RunRule.SIX_STEADY,
        RunRule.FOURTEEN_ALTERNATING,
        RunRule.TWO_OF_THREE,
        RunRule.FOUR_OF_FIVE,
        RunRule.FIFTEEN_WITHIN,
        RunRule.EIGHT_BEYOND,
    ),
}
