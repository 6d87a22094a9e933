"""How often an address may be refused before it has to wait."""

from __future__ import annotations

import time
from collections import OrderedDict, deque
from collections.abc import Callable
from threading import Lock

TRIES = 10
SECONDS = 60
"""So many refused tries of one address in so many seconds; the waits after wrong PINs of one badge come on top."""
_MOST_ADDRESSES = 10_000


class TryLimits:
    """The refused tries of the last minute, by address."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        """Begin without any.

        Args:
            now: seconds of a clock that does not run back.
        """
        self._now = now
        self._lock = Lock()
        self._refused: OrderedDict[str, deque[float]] = OrderedDict()

    def seconds_to_wait(self, address: str) -> int:
        """Return in how many seconds an address may try again; 0 for now."""
        now = self._now()
        with self._lock:
            tries = self._refused.get(address)
            if tries is None or len(tries) < TRIES or now - tries[0] >= SECONDS:
                return 0
            return max(1, round(SECONDS - (now - tries[0])))

    def refused(self, address: str) -> bool:
        """Count a refused try; returns whether it is to be recorded.

        Those that come while the address has to wait are not looked at, and would fill the journal for nothing.
        """
        now = self._now()
        with self._lock:
            tries = self._refused.setdefault(address, deque(maxlen=TRIES))
            self._refused.move_to_end(address)
            while len(self._refused) > _MOST_ADDRESSES:
                self._refused.popitem(last=False)
            is_full = len(tries) == TRIES and now - tries[0] < SECONDS
            if not is_full:
                tries.append(now)
            return not is_full
