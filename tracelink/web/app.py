"""The pages of `runout serve` and their addresses, what every answer carries, and how errors are told.

Every page only reads: nobody signs in, and nothing that a browser sends is booked.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from http import HTTPStatus
from importlib.resources import files

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from tracelink.errors import IdentifierError, LedgerBusy, LedgerError, StorageFailed, UnknownCode, UsageError
from tracelink.web.desk import Desk
from tracelink.web.frame import document_style, sentence_page
from tracelink.web.headers import SecureHeaders
from tracelink.web.wall import Boards

Page = Callable[[Request], Response]
TellFault = Callable[[Exception], str]
LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
_STATUS = (
    (UnknownCode, HTTPStatus.NOT_FOUND),
    ((LedgerBusy, StorageFailed), HTTPStatus.SERVICE_UNAVAILABLE),
    ((UsageError, IdentifierError), HTTPStatus.BAD_REQUEST),
)
_MOST_ADDRESS = 4_000
"""Characters of an address; a scan and all fields of a question fit many times."""


def make_app(place: str, tell_fault: TellFault) -> Starlette:
    """Return the pages of a ledger as an ASGI application.

    Args:
        place: path or URL of the ledger.
        tell_fault: keeps what nobody foresaw for whoever looks after runout, and returns the sentence for the page.
    """
    desk, boards = Desk(place), Boards(place)
    pages: dict[str, Page] = {
        "/search": desk.search,
        "/thing/{code:path}": desk.thing,
        "/contain": desk.contain,
        "/contain.pdf": desk.contain_pdf,
        "/contain.xlsx": desk.contain_workbook,
        "/board": boards.page,
    }
    routes = [Route(path, _told(page, tell_fault)) for path, page in pages.items()]
    routes += [
        Route("/", lambda _request: RedirectResponse("/board")),
        Route("/board/changes", boards.changes),
        Route("/desk.css", lambda _request: _file("desk.css", "text/css")),
        Route("/board.js", lambda _request: _file("board.js", "text/javascript")),
        Route("/document.css", lambda _request: Response(document_style(), media_type="text/css")),
    ]
    return Starlette(
        routes=routes,
        middleware=[
            # Another name for this machine is a page elsewhere that tries to read this one.
            Middleware(TrustedHostMiddleware, allowed_hosts=[*LOOPBACK], www_redirect=False),
            Middleware(SecureHeaders),
        ],
        exception_handlers={HTTPException: _no_such_page},
    )


def _told(page: Page, tell_fault: TellFault) -> Page:
    """Return a page that tells every error as a sentence."""

    @wraps(page)
    def guarded(request: Request) -> Response:
        if len(str(request.url)) > _MOST_ADDRESS:
            return _sentence(
                "the address is too long: expected a code or a few words", HTTPStatus.REQUEST_URI_TOO_LONG
            )
        try:
            return page(request)
        except LedgerError as problem:
            known = (status for kinds, status in _STATUS if isinstance(problem, kinds))
            return _sentence(str(problem), next(known, HTTPStatus.INTERNAL_SERVER_ERROR))
        except Exception as problem:  # noqa: BLE001  nothing may get past here
            return _sentence(tell_fault(problem), HTTPStatus.INTERNAL_SERVER_ERROR)

    return guarded


async def _no_such_page(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, HTTPException)
    if problem.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
        return _sentence(f"{request.method} is not possible here: pages are only read", problem.status_code)
    return _sentence(f"there is no page at {request.url.path}: look for what you need", problem.status_code)


def _sentence(sentence: str, status: int) -> Response:
    return HTMLResponse(sentence_page(sentence), status)


def _file(name: str, kind: str) -> Response:
    return Response((files("tracelink.web") / "static" / name).read_bytes(), media_type=kind)
