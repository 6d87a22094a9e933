"""The line between a station page and the server that stays open: scans one way, verdicts the other.

It says nothing that requests do not say too. A browser takes 6 to 12 ms over a request, and 2 to 3 ms over a message on
a line that is open (measured in Chromium, the server's part being the same), which is most of what a packer would wait
for beyond the booking itself.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.websockets import WebSocket, WebSocketDisconnect

from tracelink.errors import LedgerError, RequestNotTaken
from tracelink.web.station.page_requests import Fields, fields_in

Said = dict[str, Any]


class ScanChannel:
    """Answers the scans of a page, one after the other."""

    def __init__(
        self,
        scanned: Callable[[WebSocket, Fields], Said],
        beside: Callable[[WebSocket, Fields], Said],
        told: Callable[[Exception], tuple[str, int]],
    ) -> None:
        """Answer by what requests are answered with.

        Args:
            scanned: books a scan for whoever may be the station, and returns what a page is told.
            beside: returns what stands beside that.
            told: returns the sentence and the status of an error.
        """
        self._scanned = scanned
        self._beside = beside
        self._told = told

    async def keep(self, socket: WebSocket) -> None:
        """Keep the line open until the page or the server is gone."""
        await socket.accept()
        async with asyncio.TaskGroup() as following:
            with suppress(WebSocketDisconnect):
                while (message := await socket.receive())["type"] == "websocket.receive":
                    sent = await self._answer(socket, message.get("text"))
                    if sent is not None:
                        # The verdict is on its way; nobody waits for what else is to be shown, least of all the next scan.
                        following.create_task(self._follow(socket, sent))

    async def _answer(self, socket: WebSocket, text: str | None) -> Fields | None:
        """Answer a scan; return what was sent if a verdict was told."""
        sent = Fields({})
        try:
            sent = _fields(text)
            said = await run_in_threadpool(self._scanned, socket, sent)
        except Exception as problem:  # noqa: BLE001  nothing may get past here
            sentence, status = self._told(problem)
            await _send(socket, sent, {"status": status, "said": {"sentence": sentence}})
            return None
        await _send(socket, sent, {"status": 200, "said": said})
        return sent

    async def _follow(self, socket: WebSocket, sent: Fields) -> None:
        """Tell what stands beside a verdict; nothing, if the next scan came first."""
        found = None
        with suppress(LedgerError):
            found = await run_in_threadpool(self._beside, socket, sent)
        with suppress(WebSocketDisconnect):
            await _send(socket, sent, {"beside": found})


def _fields(text: str | None) -> Fields:
    if text is None:
        raise RequestNotTaken("what was sent is not text: nothing of it was taken", 415)
    return fields_in(text)


async def _send(socket: WebSocket, sent: Fields, part: Said) -> None:
    await socket.send_text(json.dumps({"of": sent.values.get("of"), **part}))
