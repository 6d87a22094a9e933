"""Scans go first: what stands beside a verdict is looked up when nobody waits for a verdict.

To look it up takes twice what booking a scan does, and threads of one Python program take turns: the scans of all other
stations would wait for it. So one station at a time looks, stops between two acts while any scan is under way, and gives up
when the next scan of its own page is there, whose answer brings what stands beside it anyway.
"""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from tracelink.errors import ScanCame

_LONGEST_S = 0.05
"""That one act waits for scans of others: on a busy floor there is always one."""
_TURN_S = 1.0
"""After which a scan asks for its turn by itself, beside one that waits for a ledger that others keep busy."""


class ScansFirst:
    """Who scans and who looks, in one server."""

    def __init__(self) -> None:
        """Nobody scans, and nobody looks."""
        self._changed = threading.Condition()
        self._scans: Counter[str] = Counter()
        self._is_looking = False
        self._turn = threading.Lock()

    @contextmanager
    def scan(self, station: str) -> Iterator[None]:
        """Have a scan of a station go before whoever looks, while the block runs."""
        with self._changed:
            self._scans[station] += 1
            self._changed.notify_all()
        try:
            yield
        finally:
            with self._changed:
                self._scans[station] -= 1
                self._changed.notify_all()

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Book alone in this server while the block runs: a ledger takes one scan at a time, and to ask it often costs more."""
        is_alone = self._turn.acquire(timeout=_TURN_S)
        try:
            yield
        finally:
            if is_alone:
                self._turn.release()

    @contextmanager
    def looking(self, station: str) -> Iterator[Callable[[], None]]:
        """Look up what stands beside the verdict of a station while the block runs; gives what is to be called often.

        Raises:
            ScanCame: the next scan of the station is there; so does what is to be called.
        """
        with self._changed:
            self._changed.wait_for(lambda: self._scans[station] or not self._is_looking)
            self._require_none(station)
            self._is_looking = True
        try:
            yield lambda: self._give_way(station)
        finally:
            with self._changed:
                self._is_looking = False
                self._changed.notify_all()

    def _give_way(self, station: str) -> None:
        with self._changed:
            self._changed.wait_for(lambda: self._scans[station] or not self._scans.total(), _LONGEST_S)
            self._require_none(station)

    def _require_none(self, station: str) -> None:
        if self._scans[station]:
            raise ScanCame(f"the next scan of station {station} is there")
