"""Signing in and badging out."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from runout import open_ledger
from tracelink.errors import LedgerError, PinRefused, UsageError
from tracelink.report.format.document import Document
from tracelink.web.acts.act_forms import badge_of
from tracelink.web.entrance.entrance import Entrance, address_of
from tracelink.web.entrance.visitor import VISITOR
from tracelink.web.frame import as_told, framed
from tracelink.web.statuses import status_of

_TRIED = "sign in"


class SignInPages:
    """The page for badge and PIN."""

    def __init__(self, entrance: Entrance) -> None:
        """Open and close sessions at an entrance."""
        self._entrance = entrance

    def form(self, request: Request) -> Response:
        """Ask for badge and PIN."""
        VISITOR.set(self._entrance.session(request))
        return _shown(_own_address(request.query_params.get("next", "")))

    def sent(self, request: Request, fields: Mapping[str, str]) -> Response:
        """Look at badge and PIN; whoever is who they say goes on to where they came from."""
        onward = _own_address(fields.get("next", ""))
        self._require_ours(request)
        wait = self._entrance.limits.seconds_to_wait(address_of(request))
        if wait:
            sentence = f"too many tries were refused here, so nothing is looked at for {wait} s"
            return _shown(onward, sentence, HTTPStatus.TOO_MANY_REQUESTS, {"Retry-After": str(wait)})
        try:
            badge, pin = (fields.get(name, "").strip() for name in ("badge", "pin"))
            if not badge or not pin:
                raise UsageError("badge or PIN is empty: scan or type the badge, then key the PIN")
            with open_ledger(self._entrance.place) as ledger:
                person = ledger.people.sign_in(badge_of(badge, pin))
        except LedgerError as problem:
            # A badge that cannot be one may be a PIN in the wrong field: no sentence about it is recorded.
            told = (
                "the badge is not a code of this plant"
                if isinstance(problem, ValueError)
                else self._entrance.told(problem)
            )
            self._entrance.refused(request, _TRIED, told, is_recorded=isinstance(problem, PinRefused))
            return _shown(onward, told, status_of(problem))
        secret, _session = self._entrance.sessions.open(person)
        answer = RedirectResponse(onward or "/board", HTTPStatus.SEE_OTHER)
        self._entrance.end_session(request)
        self._entrance.keep_session(answer, secret)
        return answer

    def out(self, request: Request, _fields: Mapping[str, str]) -> Response:
        """End the session."""
        self._require_ours(request)
        answer = RedirectResponse("/sign-in", HTTPStatus.SEE_OTHER)
        self._entrance.end_session(request)
        self._entrance.forget_session(answer)
        return answer

    def _require_ours(self, request: Request) -> None:
        try:
            self._entrance.require_same_origin(request)
        except HTTPException as problem:
            self._entrance.refused(request, _TRIED, problem.detail, is_recorded=False)
            raise


def _own_address(given: str) -> str:
    """Return an address of these pages; of any other nothing."""
    return given if given.startswith("/") and not given.startswith(("//", "/\\")) else ""


def _shown(
    onward: str, problem: str = "", status: int = HTTPStatus.OK, headers: Mapping[str, str] | None = None
) -> Response:
    page = framed(
        Document("Sign in", "Sign in", "", "", ()),
        "sign-in.html.j2",
        onward=onward,
        problem=as_told(problem),
    )
    return HTMLResponse(page, status, headers)
