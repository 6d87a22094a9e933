"""A question as a page: its fields, and below them the answer, which is also had as CSV, JSON or PDF."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from runout import OpenLedger, open_ledger
from tracelink.clock import local_now
from tracelink.errors import LedgerError, UsageError
from tracelink.report.format.document import Document, Section
from tracelink.report.format.plain import imprint
from tracelink.report.format.table import Cell, Column
from tracelink.report.format.table_csv import csv_text
from tracelink.report.format.table_json import json_text
from tracelink.web.acts.act_forms import FormField, Given
from tracelink.web.frame import as_told, framed
from tracelink.web.lists.page_parts import Links
from tracelink.web.statuses import status_of

_CSV, _JSON, _PDF = "csv", "json", "pdf"
_KINDS = {_CSV: "text/csv; charset=utf-8", _JSON: "application/json", _PDF: "application/pdf"}


@dataclass(frozen=True, slots=True)
class PageAnswer:
    """What the records say to a question."""

    title: str
    """Heading of the page."""
    sections: tuple[Section, ...]
    rows: Sequence[Mapping[str, Cell]]
    """The rows of its CSV, which are those of the command."""
    columns: Sequence[Column]
    plain: Any = None
    """Its JSON, where that is more than the rows."""
    links: Links = ()
    """What can be asked or done next."""
    document: Document | None = None
    """The same for paper; None if it has none."""
    letter: tuple[str, ...] = ()
    """Lines of a text that is shown as it is."""

    def file(self, kind: str) -> bytes:
        """Return it as a file.

        Raises:
            UsageError: it has no such form.
        """
        if kind == _CSV:
            return csv_text(self.rows, self.columns).encode()
        if kind == _JSON:
            if self.plain is None:
                return json_text(self.rows, self.columns).encode()
            return (json.dumps(self.plain, ensure_ascii=True, indent=2) + "\n").encode()
        if kind == _PDF and self.document is not None:
            from tracelink.report.format.document_pdf import document_pdf  # noqa: PLC0415  made only when asked for

            return document_pdf(self.document)
        raise UsageError(f"the answer is wanted as {kind!r}: expected {', '.join(self.kinds)}")

    @property
    def kinds(self) -> tuple[str, ...]:
        """Forms of files that it has."""
        return (_CSV, _JSON) if self.document is None else (_CSV, _JSON, _PDF)


@dataclass(frozen=True, slots=True)
class PageQuestion:
    """A question and its form."""

    name: str
    """Of its files."""
    title: str
    """Heading while nothing is asked."""
    button: str
    fields: tuple[FormField, ...]
    answer: Callable[[OpenLedger, Given], PageAnswer]
    """By the public package."""
    needs: str = ""
    """The field without which only the form is shown; empty if there is an answer without any."""
    told: str = ""
    """What a person should know before they ask."""
    links: Links = ()
    """Where else to look."""


def question_page(place: str, question: PageQuestion) -> Callable[[Request], Response]:
    """Return the page of a question about a ledger.

    Args:
        place: path or URL of the ledger.
        question: what is asked.
    """

    def page(request: Request) -> Response:
        sent = {**request.query_params, **request.path_params}
        found = {field.name: str(sent.get(field.name, "")).strip() for field in question.fields}
        given = {name: text for name, text in found.items() if text}
        kind = request.query_params.get("as", "")
        with open_ledger(place, read_only=True) as ledger:
            if question.needs and question.needs not in given:
                return HTMLResponse(_shown(ledger, question, given, request))
            try:
                answer = question.answer(ledger, given)
            except LedgerError as problem:
                # With what was typed: a field that is wrong is put right where it stands.
                page = _shown(ledger, question, given, request, problem=as_told(str(problem)))
                return HTMLResponse(page, status_of(problem))
            if not kind:
                return HTMLResponse(_shown(ledger, question, given, request, answer))
            saved = {"Content-Disposition": f'attachment; filename="{question.name}.{kind}"'}
            content = answer.file(kind)
            return Response(content, media_type=_KINDS[kind], headers=saved)

    return page


def _shown(  # noqa: PLR0913  a page and what stands around it
    ledger: OpenLedger,
    question: PageQuestion,
    given: dict[str, str],
    request: Request,
    answer: PageAnswer | None = None,
    *,
    problem: str = "",
) -> str:
    records = imprint(ledger.head, local_now(), seen="Read")
    title = question.title if answer is None else answer.title
    document = Document("Page", title, records, records, () if answer is None else answer.sections)
    asked = {name: text for name, text in given.items() if name not in request.path_params}
    return framed(
        document,
        "asked.html.j2",
        question=question,
        given=given,
        choices={field.name: field.choices_now(ledger, given) for field in question.fields},
        action=request.url.path,
        problem=problem,
        links=(*question.links, *(() if answer is None else answer.links)),
        files=()
        if answer is None
        else [(f"?{urlencode({**asked, 'as': kind})}", kind) for kind in answer.kinds],
        letter=() if answer is None else answer.letter,
    )
