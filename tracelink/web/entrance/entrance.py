"""The entrance: by which address the pages are reached, who is signed in, which browser opens a station."""

from __future__ import annotations

import hmac
import time
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass
from http import HTTPStatus

from starlette.exceptions import HTTPException
from starlette.requests import HTTPConnection, Request
from starlette.responses import Response

from runout import OpenLedger, open_ledger
from tracelink.errors import LedgerError
from tracelink.web.acts.act_forms import ActDone
from tracelink.web.entrance.once import FormsSent
from tracelink.web.entrance.try_limits import TryLimits
from tracelink.web.entrance.web_sessions import WebSession, WebSessions

LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
_SECONDS_KEPT = 5.0
_MOST_KEPT = 1_000
_YEAR = 365 * 24 * 60 * 60
Reading = Callable[[], AbstractContextManager[OpenLedger]]


@dataclass(frozen=True, slots=True)
class Reached:
    """By which address browsers reach the pages."""

    names: tuple[str, ...] = LOOPBACK
    """Names of the host; a request for another one is refused."""
    origin: str | None = None
    """The address as browsers have it, such as https://runout.example.com; None for that of the request."""
    is_secure: bool = False
    """True if browsers reach them by TLS."""
    is_for_others: bool = False
    """True if other machines reach them: then pages are for people who signed in."""


class Entrance:
    """Who may come in, for one server."""

    def __init__(self, place: str, reached: Reached, *, only_reads: bool = False) -> None:
        """Guard the pages of a ledger.

        Args:
            place: its path or URL.
            reached: by which address.
            only_reads: true if nothing may be written.
        """
        self.place = place
        self.only_reads = only_reads
        self.reached = reached
        self.sessions = WebSessions()
        self.limits = TryLimits()
        self.forms: FormsSent[ActDone] = FormsSent()
        self._opened: dict[tuple[str, str | None], float] = {}
        """Secret of a browser and station -> when the ledger said last that it opens it."""

    def told(self, problem: Exception) -> str:
        """Return what an error says, with the name of the ledger alone: where it lies is nothing for a page."""
        return str(problem).replace(self.place, self.place.rsplit("/", 1)[-1])

    def session(self, connection: HTTPConnection) -> WebSession | None:
        """Return who is signed in; None for nobody."""
        secret = connection.cookies.get(self._name("session"))
        by_hand = connection.headers.get("sec-fetch-mode", "navigate") == "navigate"
        return None if secret is None else self.sessions.find(secret, is_used=by_hand)

    def end_session(self, request: Request) -> None:
        """End the session of a browser, if it has one."""
        secret = request.cookies.get(self._name("session"))
        if secret is not None:
            self.sessions.close(secret)

    def forget_session(self, answer: Response) -> None:
        """Have a browser forget its session."""
        answer.delete_cookie(
            self._name("session"), secure=self.reached.is_secure, httponly=True, samesite="strict"
        )

    def keep_session(self, answer: Response, secret: str) -> None:
        """Have the browser keep a session until it is closed."""
        self._keep(answer, "session", secret, None)

    def keep_browser(self, answer: Response, secret: str) -> None:
        """Have a browser keep by what it is known as enrolled."""
        self._keep(answer, "browser", secret, _YEAR)

    def opens_station(
        self, connection: HTTPConnection, station: str | None, reading: Reading | None = None
    ) -> bool:
        """Say whether this browser may open a station.

        Args:
            connection: of the browser.
            station: its code; None asks whether it may open any.
            reading: a ledger that is open already; to open one takes several times as long as a scan does.
        """
        secret = connection.cookies.get(self._name("browser"))
        if not secret:
            return False
        now, asked = time.monotonic(), (secret, station)
        # Asked before every scan: what was said a moment ago is said again, unless an act here may have changed it.
        if now - self._opened.get(asked, -_SECONDS_KEPT) < _SECONDS_KEPT:
            return True
        with open_ledger(self.place, read_only=True) if reading is None else reading() as ledger:
            opens = ledger.browsers.opens(secret, station)
        if opens:
            if len(self._opened) >= _MOST_KEPT:
                self._opened.clear()
            self._opened[asked] = now
        return opens

    def look_again(self) -> None:
        """Ask the ledger anew which browser opens what: an act may have changed it."""
        self._opened.clear()

    def is_of_another_site(self, connection: HTTPConnection) -> bool:
        """Say whether a browser tells that another site sends this."""
        origin = connection.headers.get("origin")
        return origin is not None and origin != self._own_origin(connection)

    def _own_origin(self, connection: HTTPConnection) -> str:
        # A line that stays open is asked for by a page, whose address begins with http.
        scheme = connection.url.scheme.replace("ws", "http")
        return self.reached.origin or f"{scheme}://{connection.headers.get('host', '')}"

    def require_same_origin(self, request: Request) -> None:
        """Refuse what another site sends.

        Raises:
            HTTPException: it does not come from a page of ours.
        """
        if request.headers.get("origin") != self._own_origin(request):
            raise HTTPException(
                HTTPStatus.FORBIDDEN,
                "this does not come from a page of runout, so nothing was done: open the page here and send it again",
            )

    def knows(self, session: WebSession, given: Mapping[str, str]) -> bool:
        """Say whether a form is one that was made for this session."""
        return hmac.compare_digest(given.get("token", "").encode(), session.token.encode())

    def refused(self, connection: HTTPConnection, tried: str, sentence: str, *, is_recorded: bool) -> None:
        """Count a refused try, and record it unless it is an entry already."""
        address = address_of(connection)
        if not self.limits.refused(address) or is_recorded:
            return
        session = self.session(connection)
        # What cannot be recorded is refused all the same: the person is told the sentence either way.
        with suppress(LedgerError), open_ledger(self.place) as ledger:
            ledger.browsers.note_refusal(
                tried, sentence, person=None if session is None else session.person.badge
            )

    def _name(self, what: str) -> str:
        # A browser takes a cookie of this prefix only from a host itself, by TLS, for all of it.
        return f"__Host-runout-{what}" if self.reached.is_secure else f"runout-{what}"

    def _keep(self, answer: Response, what: str, secret: str, seconds: int | None) -> None:
        answer.set_cookie(
            self._name(what),
            secret,
            max_age=seconds,
            httponly=True,
            secure=self.reached.is_secure,
            samesite="strict",
        )


def address_of(connection: HTTPConnection) -> str:
    """Return the address of the machine that asks."""
    return "" if connection.client is None else connection.client.host
