"""The pages of `runout serve` and their addresses, what every answer carries, and how errors are told."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from functools import wraps
from http import HTTPStatus
from importlib.resources import files

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from tracelink.errors import LedgerError
from tracelink.web.entrance.entrance import Entrance, Reached
from tracelink.web.entrance.form_body import fields_of
from tracelink.web.entrance.gate import Gate
from tracelink.web.entrance.visitor import VISITOR
from tracelink.web.frame import document_style, sentence_page
from tracelink.web.headers import SecureHeaders
from tracelink.web.rooms import FormPage, Page, Rooms
from tracelink.web.station.pages import StationPages
from tracelink.web.statuses import status_of
from tracelink.web.wall import Boards

TellFault = Callable[[Exception], str]
_SCRIPTS = ("board.js", "contain.js", "progress.js")
_MOST_ADDRESS = 4_000
"""Characters of an address; a scan and all fields of a question fit many times."""


def make_app(
    place: str,
    tell_fault: TellFault,
    reached: Reached = Reached(),  # noqa: B008  frozen
    *,
    only_reads: bool = False,
) -> Starlette:
    """Return the pages of a ledger as an ASGI application.

    Args:
        place: path or URL of the ledger.
        tell_fault: keeps what nobody foresaw for whoever looks after runout, and returns the sentence for the page.
        reached: by which address browsers reach them.
        only_reads: true if nothing may be written: then pages offer no act.
    """
    entrance = Entrance(place, reached, only_reads=only_reads)
    boards, stations = Boards(place), StationPages(place, tell_fault)
    told = _Told(entrance, tell_fault)
    rooms = Rooms(entrance, tell_fault)
    pages = {**rooms.pages, "/board": boards.page, "/board/wall": boards.wall, **stations.documents}
    routes: list[BaseRoute] = [Route(path, told.page(page)) for path, page in pages.items()]
    routes += [Route(path, told.form(page), methods=["POST"]) for path, page in rooms.forms.items()]
    routes += [
        Route("/", lambda _request: RedirectResponse("/board")),
        Route("/board/changes", boards.changes),
        Route("/desk.css", lambda _request: _file("desk.css", "text/css")),
        Route("/wall.css", lambda _request: _file("wall.css", "text/css")),
        *(Route(f"/{name}", _script(name)) for name in _SCRIPTS),
        Route("/document.css", lambda _request: Response(document_style(), media_type="text/css")),
    ]
    routes += stations.routes

    @asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        try:
            async with stations.running():
                yield
        finally:
            rooms.close()

    app = Starlette(
        routes=routes,
        lifespan=lifespan,
        middleware=[
            # Another name for this machine is a page elsewhere that tries to read this one.
            Middleware(TrustedHostMiddleware, allowed_hosts=[*reached.names], www_redirect=False),
            Middleware(SecureHeaders, is_secure=reached.is_secure),
            Middleware(Gate, entrance=entrance),
        ],
        exception_handlers={HTTPException: _no_such_page},
    )
    app.state.entrance = entrance
    return app


class _Told:
    """Makes pages that tell every error as a sentence."""

    def __init__(self, entrance: Entrance, tell_fault: TellFault) -> None:
        self._entrance = entrance
        self._tell_fault = tell_fault

    def page(self, page: Page) -> Page:
        """Return a page with its errors told, made for whoever is signed in."""

        @wraps(page)
        def guarded(request: Request) -> Response:
            return self._answer(page, request)

        return guarded

    def form(self, page: FormPage) -> Callable[[Request], Awaitable[Response]]:
        """Return the same for a page that takes a form."""

        @wraps(page)
        async def guarded(request: Request) -> Response:
            fields = await fields_of(request)
            answer = self.page(lambda asked: page(asked, fields))
            return await run_in_threadpool(answer, request)

        return guarded

    def _answer(self, page: Page, request: Request) -> Response:
        if len(str(request.url)) > _MOST_ADDRESS:
            return _sentence(
                "the address is too long: expected a code or a few words", HTTPStatus.REQUEST_URI_TOO_LONG
            )
        VISITOR.set(self._entrance.session(request))
        try:
            return page(request)
        except HTTPException:
            raise
        except LedgerError as problem:
            return _sentence(self._entrance.told(problem), status_of(problem))
        except Exception as problem:  # noqa: BLE001  nothing may get past here
            return _sentence(self._tell_fault(problem), HTTPStatus.INTERNAL_SERVER_ERROR)


async def _no_such_page(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, HTTPException)
    if problem.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
        return _sentence(f"{request.method} is not possible here", problem.status_code)
    if problem.status_code == HTTPStatus.NOT_FOUND:
        return _sentence(
            f"there is no page at {request.url.path}: look for what you need", problem.status_code
        )
    return HTMLResponse(sentence_page(problem.detail), problem.status_code, problem.headers)


def _sentence(sentence: str, status: int) -> Response:
    return HTMLResponse(sentence_page(sentence), status)


def _file(name: str, kind: str) -> Response:
    return Response((files("tracelink.web") / "static" / name).read_bytes(), media_type=kind)


def _script(name: str) -> Callable[[Request], Response]:
    return lambda _request: _file(name, "text/javascript")
