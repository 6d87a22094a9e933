"""One look at the ledger for all boards that are open: each is told when its area would look otherwise."""

from __future__ import annotations

import asyncio
import hashlib
import json
from collections.abc import AsyncIterator, Callable
from contextlib import suppress
from typing import Any

from starlette.concurrency import run_in_threadpool

from runout import open_ledger

SECONDS = 2.0
"""Between two looks at the ledger."""
AWAY = "away"
"""What stands for a board while the ledger cannot be read."""

Look = Callable[[frozenset[str | None]], dict[str | None, str]]
"""Reads the boards of some areas and returns what stands for how each looks."""


def look_at(place: str) -> Look:
    """Return what reads the boards of a ledger, all that are asked for at one opening."""

    def look(areas: frozenset[str | None]) -> dict[str | None, str]:
        try:
            with open_ledger(place, read_only=True) as ledger:
                return {area: _digest(ledger.stations.board(area).to_dict()) for area in areas}
        except Exception:  # noqa: BLE001  a page that is asked for anew tells what it is
            return dict.fromkeys(areas, AWAY)

    return look


def _digest(board: Any) -> str:
    return hashlib.sha256(json.dumps(board, sort_keys=True).encode()).hexdigest()[:16]


class BoardWatch:
    """Looks at the ledger every few seconds while anybody watches, and at nothing while nobody does."""

    def __init__(self, look: Look, seconds: float = SECONDS) -> None:
        """Begin without anybody watching.

        Args:
            look: reads the boards.
            seconds: between two looks.
        """
        self._look = look
        self._seconds = seconds
        self._watching: dict[asyncio.Queue[str], str | None] = {}
        self._looking: asyncio.Task[None] | None = None

    async def seen(self, area: str | None) -> AsyncIterator[str]:
        """Give what stands for how the board of an area looks, at once and after every look."""
        # Only the newest look counts: who is slow gets that one.
        told: asyncio.Queue[str] = asyncio.Queue(maxsize=1)
        self._watching[told] = area
        if self._looking is None:
            self._looking = asyncio.create_task(self._go_on())
        try:
            while True:
                yield await told.get()
        finally:
            del self._watching[told]
            if not self._watching:
                self._looking.cancel()
                self._looking = None

    async def _go_on(self) -> None:
        while True:
            found = await run_in_threadpool(self._look, frozenset(self._watching.values()))
            for told, area in list(self._watching.items()):
                # Whoever came meanwhile asked for an area that was perhaps not looked at: told after the next look.
                if area in found:
                    with suppress(asyncio.QueueEmpty):
                        told.get_nowait()
                    told.put_nowait(found[area])
            await asyncio.sleep(self._seconds)
