"""The time that a question and its certificate may take together.

A pure room knows no clock, so whoever asks hands one in. Time counts only while the question is worked on (`with
budget:`), as a certificate may be asked for long after the question. Past it nothing is solved any more; what was found
by then stays, and the bounds that hold without solving take the place of the rest.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf


class Budget:
    """Some seconds, which are used up while one is inside `with budget:`; that may be nested.

    Args:
        seconds: how many there are.
        clock: seconds since some moment, never less than before.
        watch: told now and then how many were used.
    """

    def __init__(
        self, seconds: float, clock: Callable[[], float], watch: Callable[[float], None] = lambda _used: None
    ) -> None:
        self.seconds = seconds
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
        used = self._used + (self._clock() - self._began if self._depth else 0.0)
        self._watch(min(used, self.seconds))
        return max(0.0, self.seconds - used)

    @property
    def is_used_up(self) -> bool:
        """True if nothing is left."""
        return self.left == 0.0


def no_limit() -> Budget:
    """A budget that is never used up."""
    return Budget(inf, lambda: 0.0)
