"""The pages of acts: the form, what became of it, and the form again with what was typed where it was refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from types import MappingProxyType

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from runout import OpenLedger, open_ledger
from tracelink.clock import local_now
from tracelink.errors import LedgerError, PinRefused, RefusedByRule, UsageError
from tracelink.report.format.document import Bullets, Document, Section, TextBlock
from tracelink.report.format.plain import imprint
from tracelink.web.acts.act_forms import (
    ActDone,
    DeskAct,
    FormField,
    Signatures,
    badge_of,
    given_of,
    require_fields,
)
from tracelink.web.entrance.entrance import Entrance, address_of
from tracelink.web.entrance.visitor import VISITOR
from tracelink.web.entrance.web_sessions import WebSession
from tracelink.web.frame import as_told, framed
from tracelink.web.statuses import status_of

_STALE = (
    "this page is from before you signed in, or from before the server was started anew, so nothing was done by it now; "
    "what you typed is below. If you had sent it before, look first whether it was done"
)
_SIGNED_OUT = "nobody is signed in here any more, so nothing was done; what you typed is below. Sign it with badge and PIN"


@dataclass(frozen=True, slots=True)
class _Sent:
    """What came with a form."""

    fields: Mapping[str, str]
    """All of them, as they came."""
    given: dict[str, str]
    """Those of the act."""
    session: WebSession | None


class ActPages:
    """The forms of acts."""

    def __init__(self, entrance: Entrance, acts: tuple[DeskAct, ...]) -> None:
        """Show the forms of some acts.

        Args:
            entrance: who may come in.
            acts: each under its name.
        """
        self._entrance = entrance
        self._acts = {act.name: act for act in acts}

    def form(self, request: Request) -> Response:
        """Show an empty form, filled in as far as the address says."""
        act = self._act(request)
        given = given_of(act, request.query_params)
        return HTMLResponse(self._page(act, given, self._entrance.session(request)))

    def sent(self, request: Request, fields: Mapping[str, str]) -> Response:
        """Carry out what a form asks for, once."""
        act = self._act(request)
        tried = f"act {act.name}"
        try:
            self._entrance.require_same_origin(request)
        except HTTPException as problem:
            self._entrance.refused(request, tried, problem.detail, is_recorded=False)
            raise
        self._require_patience(request)
        sent = _Sent(fields, given_of(act, fields), self._entrance.session(request))
        stale = self._stale(sent)
        if stale is not None:
            return self._again(act, sent, stale, HTTPStatus.CONFLICT)
        try:
            return self._carried_out(act, sent)
        except LedgerError as problem:
            if isinstance(problem, RefusedByRule):
                is_recorded = isinstance(problem, PinRefused)
                self._entrance.refused(request, tried, str(problem), is_recorded=is_recorded)
            return self._again(act, sent, self._entrance.told(problem), status_of(problem))

    def done(self, request: Request) -> Response:
        """Show what a form led to."""
        done = self._entrance.forms.answer_of(request.path_params["number"])
        if done is None:
            raise UsageError(
                "what became of this form is not kept any more: look at the thing itself, or in the journal"
            )
        with open_ledger(self._entrance.place, read_only=True) as ledger:
            records = imprint(ledger.head, local_now(), seen="Read")
        document = Document("Done", done.title, records, records, (Section("Done", _told(done)),))
        return HTMLResponse(framed(document, "done.html.j2", links=done.links))

    def _act(self, request: Request) -> DeskAct:
        name = request.path_params["name"]
        if name not in self._acts:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        return self._acts[name]

    def _require_patience(self, request: Request) -> None:
        wait = self._entrance.limits.seconds_to_wait(address_of(request))
        if wait:
            raise HTTPException(
                HTTPStatus.TOO_MANY_REQUESTS,
                f"too many tries were refused here, so nothing is looked at for {wait} s",
                {"Retry-After": str(wait)},
            )

    def _stale(self, sent: _Sent) -> str | None:
        if sent.session is None:
            # Whoever signs here and now needs no session; a form that was made for one has no place for the badge.
            if not sent.fields.get("badge", "").strip():
                return _SIGNED_OUT
        elif not self._entrance.knows(sent.session, sent.fields):
            return _STALE
        return None if self._entrance.forms.is_ours(sent.fields.get("form", "")) else _STALE

    def _carried_out(self, act: DeskAct, sent: _Sent) -> Response:
        secret = None
        with open_ledger(self._entrance.place) as ledger:
            require_fields(act, sent.given, ledger)
            signed = _signatures(act, sent)
            if sent.session is None:
                secret, _session = self._entrance.sessions.open(ledger.people.sign_in(signed.by))
            first = self._entrance.forms.carry_out(
                sent.fields["form"], lambda: act.do(ledger, signed, sent.given)
            )
        self._entrance.look_again()
        answer = RedirectResponse(f"/done/{sent.fields['form']}", HTTPStatus.SEE_OTHER)
        if secret is not None:
            self._entrance.keep_session(answer, secret)
        if first.answer.browser_secret is not None and not first.is_repeat:
            self._entrance.keep_browser(answer, first.answer.browser_secret)
        return answer

    def _again(self, act: DeskAct, sent: _Sent, problem: str, status: int) -> Response:
        """Show the form with what was typed, badges too, and why nothing was done; PINs are keyed anew."""
        page = self._page(act, sent.given, sent.session, problem, sent.fields)
        # Kept by the browser, so that its back button leads here and not to a page of its own about sending again.
        return HTMLResponse(page, status, {"Cache-Control": "private, no-cache"})

    def _page(
        self,
        act: DeskAct,
        given: dict[str, str],
        session: WebSession | None,
        problem: str = "",
        typed: Mapping[str, str] = MappingProxyType({}),
    ) -> str:
        VISITOR.set(session)
        with open_ledger(self._entrance.place, read_only=True) as ledger:
            records = imprint(ledger.head, local_now(), seen="Read")
            choices = {field.name: _choices(field, ledger, given) for field in act.fields}
            kept = _kept(act, ledger, given)
            known = _known(act, ledger, given)
        title = f"{act.title} {given['case']}" if "case" in given else act.title
        return framed(
            Document("Act", title, records, records, known),
            "act.html.j2",
            act=act,
            given={**given, **kept},
            choices=choices,
            problem=as_told(problem),
            number=self._entrance.forms.number(),
            badge=typed.get("badge", "").strip(),
            second=typed.get("second", "").strip(),
        )


def _choices(field: FormField, ledger: OpenLedger, given: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    try:
        return field.choices_now(ledger, given)
    except LedgerError:
        # What the form is about is unknown; whoever sends it is told.
        return ()


def _kept(act: DeskAct, ledger: OpenLedger, given: Mapping[str, str]) -> Mapping[str, str]:
    try:
        return {} if act.kept_now is None else act.kept_now(ledger, given)
    except LedgerError:
        # As above.
        return {}


def _known(act: DeskAct, ledger: OpenLedger, given: Mapping[str, str]) -> tuple[Section, ...]:
    try:
        return () if act.known_now is None else act.known_now(ledger, given)
    except LedgerError:
        # As above.
        return ()


def _signatures(act: DeskAct, sent: _Sent) -> Signatures:
    fields, session = sent.fields, sent.session
    badge = fields.get("badge", "") if session is None else session.person.badge
    by = badge_of(badge, _pin(fields, "pin", "your PIN"))
    if not act.needs_second:
        return Signatures(by)
    second = fields.get("second", "")
    if not second.strip():
        raise UsageError("two people are needed: the badge of the second person is empty")
    return Signatures(by, badge_of(second, _pin(fields, "second_pin", "the second person's PIN")))


def _pin(fields: Mapping[str, str], name: str, what: str) -> str:
    digits = fields.get(name, "").strip()
    if not digits:
        raise UsageError(f"{what} is empty: every act is signed with it")
    return digits


def _told(done: ActDone) -> tuple[TextBlock | Bullets, ...]:
    first, *more = done.sentences
    return (TextBlock(first), Bullets(tuple(more))) if more else (TextBlock(first),)
