"""Where other machines reach the pages, they are for people who signed in, and for browsers that were enrolled."""

from __future__ import annotations

import re
from http import HTTPStatus
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import HTTPConnection
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send
from starlette.websockets import WebSocketClose

from tracelink.web.entrance.entrance import Entrance
from tracelink.web.entrance.visitor import ONLY_READS
from tracelink.web.frame import sentence_page

_FOR_ALL = ("/sign-in", "/sign-out", "/browser")
_FILES = re.compile(r"/[a-z]+\.(?:css|js)")
"""Styles and scripts, which lie beside one another; a thing can be called like one of them."""
_OF_THE_FLOOR = ("/board", "/station/")
"""What an enrolled browser shows though nobody is signed in."""
_WRITES = re.compile(r"/act/.*|/sign-in|/browser|/station(?:/.*)?|/audit/checkpoint")
"""What leads to an entry; every other address only reads."""
_READS = (
    "this server only reads: nothing is signed, booked or recorded by it. Whoever wants to act opens the pages of the server "
    "that writes"
)
_SENT = "send a form from another site"
_NOT_ALLOWED = 1008
"""Why a line is closed, as RFC 6455, 7.4.1 numbers it; before it is open a browser is told 403."""
_ELSEWHERE = (
    "this does not come from a page of runout, so nothing was done: open the page here and send it again"
)


class Gate:
    """Sends whoever may not see a page to the sign-in; an address that is added later is closed until it is named here."""

    def __init__(self, app: ASGIApp, entrance: Entrance) -> None:
        """Stand before an application."""
        self._app = app
        self._entrance = entrance

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        connection = HTTPConnection(scope)
        ONLY_READS.set(self._entrance.only_reads)
        if self._entrance.only_reads and _WRITES.fullmatch(connection.url.path):
            await self._only_read(connection, receive, send)
            return
        if scope["type"] == "websocket":
            await self._let_open(connection, receive, send)
            return
        if scope["method"] != "GET" and self._entrance.is_of_another_site(connection):
            await run_in_threadpool(self._entrance.refused, connection, _SENT, _ELSEWHERE, is_recorded=False)
            await HTMLResponse(sentence_page(_ELSEWHERE), HTTPStatus.FORBIDDEN)(scope, receive, send)
            return
        if await self._may_pass(connection):
            await self._app(scope, receive, send)
            return
        # Back to where they wanted to go, once they are signed in; a form that was sent is not sent again.
        onward = f"?next={quote(scope['path'])}" if scope["method"] == "GET" else ""
        await RedirectResponse(f"/sign-in{onward}", HTTPStatus.SEE_OTHER)(scope, receive, send)

    async def _only_read(self, connection: HTTPConnection, receive: Receive, send: Send) -> None:
        """Say that nothing is written here."""
        if connection.scope["type"] == "websocket":
            await WebSocketClose(_NOT_ALLOWED)(connection.scope, receive, send)
            return
        page = HTMLResponse(sentence_page(_READS), HTTPStatus.FORBIDDEN)
        await page(connection.scope, receive, send)

    async def _let_open(self, connection: HTTPConnection, receive: Receive, send: Send) -> None:
        """Let a page open a line that stays open, or close it at once."""
        if self._entrance.is_of_another_site(connection):
            await run_in_threadpool(self._entrance.refused, connection, _SENT, _ELSEWHERE, is_recorded=False)
        elif await self._may_pass(connection):
            await self._app(connection.scope, receive, send)
            return
        await WebSocketClose(_NOT_ALLOWED)(connection.scope, receive, send)

    async def _may_pass(self, connection: HTTPConnection) -> bool:
        path = connection.url.path
        if not self._entrance.reached.is_for_others or path in _FOR_ALL or _FILES.fullmatch(path):
            return True
        if self._entrance.session(connection) is not None:
            return True
        # A form is signed with badge and PIN: whoever was signed out while they typed loses nothing.
        if path.startswith("/act/") and connection.scope.get("method") == "POST":
            return True
        if not path.startswith(_OF_THE_FLOOR):
            return False
        return await run_in_threadpool(self._entrance.opens_station, connection, None)


class OnlyFrom:
    """Answers one address only, that of the proxy before it: whoever went around the proxy would be read along."""

    def __init__(self, app: ASGIApp, address: str) -> None:
        """Stand before an application, and before whatever believes the proxy."""
        self._app = app
        self._address = address

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request of the proxy through, and refuse any other."""
        if scope["type"] == "lifespan" or (scope["client"] or ("",))[0] == self._address:
            await self._app(scope, receive, send)
            return
        if scope["type"] == "websocket":
            await WebSocketClose(_NOT_ALLOWED)(scope, receive, send)
            return
        refused = PlainTextResponse("Ask by the address of the proxy.", HTTPStatus.FORBIDDEN)
        await refused(scope, receive, send)
