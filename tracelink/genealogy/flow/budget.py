"""The time that a question and its certificate may take together.

A pure room knows no clock, so whoever asks hands one in. Time counts only while the question is worked on (`with
budget:`), as a certificate may be asked for long after the question. Past it nothing is solved any more; what was found
by then stays, and the bounds that hold without solving take the place of the rest. Reading what is to be solved looks at
the clock as well: a lot of very many stacks and movements takes longer to read than a short question has. What counts
alone say of ten thousand cartons takes its time, too; it is told for a moment more, and then left out.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf

MOMENT = 1.0
"""Seconds past a budget in which bounds may still be told that need nothing solved."""


class Budget:
    """Some seconds, which are used up while one is inside `with budget:`; that may be nested.

    Args:
        seconds: how many there are.
        clock: seconds since some moment, never less than before.
        watch: told now and then how many were used.
        moment: how many more there are for what needs nothing solved.
    """

    def __init__(
        self,
        seconds: float,
        clock: Callable[[], float],
        watch: Callable[[float], None] = lambda _used: None,
        moment: float = MOMENT,
    ) -> None:
        self.seconds = seconds
        self._moment = moment
        self.was_short = False
        """True once something was left unsolved for want of time."""
        self._clock = clock
        self._watch = watch
        self._used = 0.0
        self._began = 0.0
        self._depth = 0

    def __enter__(self) -> None:
        if not self._depth:
            self._began = self._clock()
        self._depth += 1

    def __exit__(self, *_what_happened: object) -> None:
        self._depth -= 1
        if not self._depth:
            self._used += self._clock() - self._began

    @property
    def left(self) -> float:
        """Seconds that are left, 0 or more."""
        used = self._used_now()
        self._watch(min(used, self.seconds))
        return max(0.0, self.seconds - used)

    def _used_now(self) -> float:
        return self._used + (self._clock() - self._began if self._depth else 0.0)

    @property
    def is_used_up(self) -> bool:
        """True if nothing is left."""
        return self.left == 0.0

    def require(self) -> None:
        """Go on only if there is time left.

        Raises:
            NotSolved: nothing is left; that is noted in `was_short`.
        """
        if self.is_used_up:
            self.was_short = True
            raise NotSolved

    def ends(self) -> bool:
        """Return whether the moment past it is over as well, and nothing more is to be looked for."""
        over = self._used_now() >= self.seconds + self._moment
        self.was_short |= over
        return over


class NotSolved(Exception):  # noqa: N818 - a signal inside this room, not an error for a person
    """Something is beyond the limits, or there is no time left; the bounds that hold without solving are to be used."""


def no_limit() -> Budget:
    """A budget that is never used up."""
    return Budget(inf, lambda: 0.0)
