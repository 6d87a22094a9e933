"""Where a browser that was enrolled at a terminal is told by which code it is known."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from runout import open_ledger
from tracelink.report.format.document import Document
from tracelink.web.entrance.entrance import Entrance, address_of
from tracelink.web.frame import as_told, framed

_TRIED = "key the code of a browser"


class BrowserCodePage:
    """The page for the code of a browser."""

    def __init__(self, entrance: Entrance) -> None:
        """Let browsers in at an entrance."""
        self._entrance = entrance

    def form(self, _request: Request) -> Response:
        """Ask for the code."""
        return _shown()

    def sent(self, request: Request, fields: Mapping[str, str]) -> Response:
        """Have the browser keep a code that somebody enrolled, and lead on to the stations."""
        self._entrance.require_same_origin(request)
        wait = self._entrance.limits.seconds_to_wait(address_of(request))
        if wait:
            sentence = f"too many tries were refused here, so nothing is looked at for {wait} s"
            return _shown(sentence, HTTPStatus.TOO_MANY_REQUESTS, {"Retry-After": str(wait)})
        code = _as_shown(fields.get("code", ""))
        if not code:
            return _shown("the code is empty: key what runout browser enrol showed", HTTPStatus.BAD_REQUEST)
        with open_ledger(self._entrance.place, read_only=True) as ledger:
            is_enrolled = ledger.browsers.opens(code)
        if not is_enrolled:
            sentence = "no browser is enrolled by this code: look whether it is keyed as it was shown, or enrol one anew"
            self._entrance.refused(request, _TRIED, sentence, is_recorded=False)
            return _shown(sentence, HTTPStatus.FORBIDDEN)
        answer = RedirectResponse("/station", HTTPStatus.SEE_OTHER)
        self._entrance.keep_browser(answer, code)
        return answer


def _as_shown(keyed: str) -> str:
    """Return a code as it was shown, in groups of four, however it was keyed."""
    signs = [sign for sign in keyed.upper() if sign.isalnum()]
    return "-".join("".join(signs[place : place + 4]) for place in range(0, len(signs), 4))


def _shown(
    problem: str = "", status: int = HTTPStatus.OK, headers: Mapping[str, str] | None = None
) -> Response:
    page = framed(
        Document("Code of this browser", "Code of this browser", "", "", ()),
        "browser-code.html.j2",
        problem=as_told(problem),
    )
    return HTMLResponse(page, status, headers)
