"""Movements that cannot all be true, named.

Theory of operation. A movement that is *doubted* keeps its direction but may have carried any number of any
discs, or none. A conflict is a set of movements that cannot all be true even if every other movement is doubted;
it is irreducible if doubting any one of them resolves it. First the shortest stretch of the journal that
cannot be true is found by halving; its last movement is part of every conflict in it. Then the others are
divided and doubted by halves (Junker, QuickXplain, AAAI 2004), which asks few questions when the conflict is small.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from tracelink.genealogy.flow.budget import Budget, NotSolved, no_limit
from tracelink.genealogy.flow.exact import LotNetwork
from tracelink.genealogy.flow.network import NetworkStep
from tracelink.genealogy.flow.pools import History
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet

CONFLICTS_AT_MOST = 5
"""Conflicts named for a lot: with these resolved, the rest mostly is."""

QUESTIONS_AT_MOST = 600
"""Questions asked for a lot, some 10 ms each; past them a conflict is named before it is known to be irreducible."""

_SHOWN_AT_MOST = 20
"""Movements that a sentence spells out."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Movements that cannot all be true."""

    steps: tuple[int, ...]
    """Numbers of the movements, in journal order."""
    irreducible: bool
    """True if any of them, doubted, lets the others be true."""


def conflicts_of(
    pressed: StrokeSet, steps: Sequence[NetworkStep], budget: Budget | None = None
) -> list[Conflict]:
    """Find conflicts among the movements of a lot; the last movement of each is doubted before the next is sought.

    Args:
        pressed: the strokes counted at the press.
        steps: the movements in journal order.
        budget: the time there is; None for as much as it takes.
    """
    found: list[Conflict] = []
    questions = _Questions(pressed, steps, budget or no_limit())
    doubted: set[int] = set()
    while len(found) < CONFLICTS_AT_MOST:
        last = questions.shortest(doubted)
        if last is None:
            break
        found.append(questions.explain(last, doubted))
        doubted.add(last)
    return found


def sentences_on(history: History, steps: Sequence[NetworkStep], budget: Budget) -> list[str]:
    """Sentences on conflicts of a lot that its history does not name already, as far as there is time."""
    return [
        _sentence(history.lot, conflict, steps)
        for conflict in conflicts_of(history.pressed, steps, budget)
        if not any({steps[number].seq for number in conflict.steps} <= accused for accused in history.accused)
    ]


class _Questions:
    """Asks whether movements can be true, and counts how often it was asked."""

    def __init__(self, pressed: StrokeSet, steps: Sequence[NetworkStep], budget: Budget) -> None:
        self._pressed = pressed
        self._steps = steps
        self._budget = budget
        self._asked = 0

    def shortest(self, doubted: set[int]) -> int | None:
        """The last movement of the shortest stretch that cannot be true; None if all of them can be."""
        low, high = 0, len(self._steps)
        if not self._fails(high, set(range(high)) - doubted):
            return None
        while high - low > 1:
            middle = (low + high) // 2
            if self._fails(middle, set(range(middle)) - doubted):
                high = middle
            else:
                low = middle
        return high - 1

    def explain(self, last: int, doubted: set[int]) -> Conflict:
        """A conflict that ends with `last`."""
        candidates = [
            number
            for number in range(last)
            if number not in doubted and self._steps[number].quantity is not None
        ]

        def fails(believed: Iterable[int]) -> bool:
            return self._fails(last + 1, {*believed, last})

        chosen = _narrowed([], candidates, fails, asked=False)
        irreducible = self._asked < QUESTIONS_AT_MOST and not self._budget.is_used_up
        return Conflict((*sorted(chosen), last), irreducible)

    def _fails(self, length: int, believed: set[int]) -> bool:
        self._asked += 1
        if (self._asked > QUESTIONS_AT_MOST and len(believed) < length) or self._budget.is_used_up:
            # Out of questions, or of time: nothing more is taken out of the conflict.
            return False
        steps = [
            step if number in believed else replace(step, quantity=None, strokes=None)
            for number, step in enumerate(self._steps[:length])
        ]
        try:
            return LotNetwork(self._pressed, steps, NO_STROKES, self._budget).can_be_true() is False
        except NotSolved:
            return False


def _narrowed(
    held: Sequence[int], candidates: Sequence[int], fails: Callable[[Iterable[int]], bool], *, asked: bool
) -> list[int]:
    """The candidates that a conflict with `held` needs; `asked` if `held` grew since it was last asked alone."""
    if (asked and fails(held)) or not candidates:
        return []
    if len(candidates) == 1:
        return list(candidates) if asked or not fails(held) else []
    half = len(candidates) // 2
    early, late = candidates[:half], candidates[half:]
    of_early = _narrowed([*held, *late], early, fails, asked=True)
    of_late = _narrowed([*held, *of_early], late, fails, asked=bool(of_early))
    return of_early + of_late


def _sentence(lot: str, conflict: Conflict, steps: Sequence[NetworkStep]) -> str:
    named = [_told(steps[number]) for number in conflict.steps]
    shown = "; ".join(named[-_SHOWN_AT_MOST:])
    more = len(named) - _SHOWN_AT_MOST
    before = f"{more} earlier ones; " if more > 0 else ""
    how = (
        "any one of them taken back would resolve it" if conflict.irreducible else "some of them may be right"
    )
    if len(named) == 1:
        return (
            f"Lot {lot}: this movement cannot be true, whatever all others carried: {shown}. Count again or look for a late "
            f"entry."
        )
    return (
        f"Lot {lot}: these movements cannot all be true, whatever all others carried: {before}{shown}; {how}. Count again "
        f"or look for a late entry."
    )


def _told(step: NetworkStep) -> str:
    strokes = "" if step.strokes is None else f", strokes {step.strokes}"
    return f"entry {step.seq} ({step.quantity} from {step.source} to {step.target}{strokes})"
