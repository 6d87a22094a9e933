"""The desk: look for a thing, see where it came from and went, ask what a bad one touched."""

from __future__ import annotations

import re
from urllib.parse import quote, urlencode

from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from runout import Containment, OpenLedger, SearchResult, open_ledger
from tracelink.clock import local_now
from tracelink.errors import LedgerError, UsageError
from tracelink.identity.plantcode import CodeKind
from tracelink.report.format.document import Document
from tracelink.report.format.plain import imprint
from tracelink.report.pages.search_document import search_document
from tracelink.report.pages.trace_document import TracedThing, trace_document
from tracelink.web.acts.question_fields import FIELDS
from tracelink.web.frame import as_told, framed
from tracelink.web.lists.noun_sections import noun_sections
from tracelink.web.lists.page_parts import Links
from tracelink.web.lists.record_sections import known_by_name, made_of
from tracelink.web.lists.thing_links import has_a_page, thing_links
from tracelink.web.lists.words_of_text import KnownWords, known_words
from tracelink.web.question import question_of
from tracelink.web.statuses import status_of

_MOST_OF_A_KIND = 20
_ENTRY = re.compile(r"(?i:entry) +([0-9]{1,11})")
_CASE = re.compile(rf"{CodeKind.CASE.value}[0-9]{{6,10}}[0-9A-Z]")
_NAMED = {"consignee": "/thing/", "part": "/thing/", "defect": "/cause?defect="}
"""Kinds that are known by a name, and where it leads: a defect to what its discs have in common."""
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class Desk:
    """The pages about things and about what a bad one touched."""

    def __init__(self, place: str) -> None:
        """Read one ledger.

        Args:
            place: its path or URL.
        """
        self._place = place

    def search(self, request: Request) -> Response:
        """Show what is known by some words; what has just that code is shown itself."""
        words = request.query_params.get("q", "").strip()
        if not words:
            raise UsageError(
                "nothing is asked for: type a code, a title, a name or a day into the field above"
            )
        entry = _ENTRY.fullmatch(words)
        if entry is not None:
            return RedirectResponse(f"/entry/{entry[1]}", 303)
        with open_ledger(self._place, read_only=True) as ledger:
            found = ledger.search(words, most=_MOST_OF_A_KIND)
            exact = [hit for hit in found.hits if hit.code == words.upper()]
            if len(found.hits) == 1 and exact:
                return RedirectResponse(f"/thing/{exact[0].code}", 303)
            if not found.hits and has_a_page(words.upper()) and _is_traced(ledger, words):
                # A built piece is known by its serial label alone, which the search does not read.
                return RedirectResponse(f"/thing/{words.upper()}", 303)
            # A name is no code, which would be a link in its row.
            named = [
                (f"{_NAMED[hit.kind]}{quote(hit.code, safe='')}", hit.code)
                for hit in found.hits
                if hit.kind in _NAMED
            ]
            return HTMLResponse(
                framed(
                    _search(ledger, found),
                    "search.html.j2",
                    links=named,
                    looked_for=words,
                    parts=() if found.hits else _known_parts(ledger, words),
                )
            )

    def thing(self, request: Request) -> Response:
        """Show a thing with its family; of what has none, what the records know by its code."""
        code = request.path_params["code"]
        if _CASE.fullmatch(code.strip().upper()):
            return RedirectResponse(f"/case/{code.strip().upper()}", 303)
        with open_ledger(self._place, read_only=True) as ledger:
            document, links = _known(ledger, code)
        return HTMLResponse(framed(document, "links.html.j2", links=links, looked_for=code, kind="thing"))

    def contain(self, request: Request) -> Response:
        """Show the form, and below it the scope of what was asked."""
        given = {field.name: request.query_params.get(field.name, "").strip() for field in FIELDS}
        form = {
            "given": given,
            "fields": FIELDS,
            "choices": {"cause": (), "shape": FIELDS[1].choices},
            "more": any(given[field.name] for field in FIELDS[2:]),
            "asked": request.url.query,
            "script": "/contain.js",
        }
        if not given["cause"] or not given["shape"]:
            # Whoever comes from a thing has chosen no shape yet: that is no mistake.
            return HTMLResponse(framed(self._unanswered(), "contain.html.j2", **form, problem=""))
        try:
            answer = self._answer(request.query_params)
        except LedgerError as problem:
            # With what was typed: a field that is wrong is put right where it stands.
            page = framed(self._unanswered(), "contain.html.j2", **form, problem=as_told(str(problem)))
            return HTMLResponse(page, status_of(problem))
        assert answer.sections is not None, "pages were asked for"
        return HTMLResponse(framed(answer.sections, "contain.html.j2", **form, problem=""))

    def _unanswered(self) -> Document:
        with open_ledger(self._place, read_only=True) as ledger:
            return Document("Scope", "What did it touch?", _records(ledger), "", ())

    def contain_pdf(self, request: Request) -> Response:
        """Give the same document for paper."""
        content = self._answer(request.query_params).to_pdf()
        return Response(content, media_type="application/pdf", headers=_saved("scope.pdf"))

    def contain_workbook(self, request: Request) -> Response:
        """Give its tables as a workbook."""
        content = self._answer(request.query_params).to_workbook()
        return Response(content, media_type=_XLSX, headers=_saved("scope.xlsx"))

    def _answer(self, given: QueryParams) -> Containment:
        query = question_of(given)
        with open_ledger(self._place, read_only=True) as ledger:
            return ledger.contain(query, pages=True)


def _saved(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"'}


def _records(ledger: OpenLedger) -> str:
    return imprint(ledger.head, local_now(), seen="Read")


def _search(ledger: OpenLedger, found: SearchResult) -> Document:
    plain = found.to_dict()
    return search_document(found.text, plain["hits"], found.left_out, _records(ledger))


def _kinds(one: KnownWords) -> str:
    kinds = [f"{kind} {total}" for kind, total in one.kinds]
    return ", ".join([*kinds, *([f"{one.more} more"] if one.more else [])])


def _known_parts(ledger: OpenLedger, words: str) -> tuple[tuple[str, str, str], ...]:
    """Return address, words and what is known by them, of each part of a text by which anything is."""
    return tuple(
        (
            f"/search?{urlencode({'q': one.text})}",
            one.text,
            _kinds(one),
        )
        for one in known_words(ledger, words)
        if one.text.casefold() != words.casefold()
    )


def _is_traced(ledger: OpenLedger, code: str) -> bool:
    try:
        ledger.trace(code)
    except LedgerError:
        return False
    return True


def _thing(ledger: OpenLedger, code: str) -> tuple[Document, str]:
    found = ledger.trace(code)
    at = local_now()
    tables = 2 + bool(found.cases) + bool(found.holds)
    traced = TracedThing(
        found.code,
        found.trees,
        found.holds,
        found.cases,
        [*found.judgements, *found.unread],
        found.to_svg(at, lambda codes: _leads(codes, tables)),
    )
    root = next(iter(found.trees.values())).nodes[0]
    return trace_document(traced, imprint(found.head, at, seen="Read")), root.kind


def _known(ledger: OpenLedger, code: str) -> tuple[Document, Links]:
    """Return the page of a thing, and what can be asked about it and done with it."""
    try:
        document, kind = _thing(ledger, code)
        return document, (*thing_links(code, kind), *made_of(ledger, code.strip().upper()))
    except LedgerError:
        named = known_by_name(ledger, code)
        if named is not None:
            records = _records(ledger)
            return Document("Thing", named.title, records, records, named.sections), named.links
        found = _of_no_family(ledger, code)
        if found is None:
            raise
        return found, thing_links(code)


def _leads(codes: tuple[str, ...], tables: int) -> str | None:
    """Return where a box of the family leads to: one thing to its page, many to the tables that list them."""
    if len(codes) != 1:
        return f"#part-{tables}"
    return f"/thing/{codes[0]}" if has_a_page(codes[0]) else None


def _of_no_family(ledger: OpenLedger, code: str) -> Document | None:
    """Return what is known of a thing that was made of nothing and went nowhere; None if nothing is."""
    known = code.strip().upper()
    sections = noun_sections(ledger, known)
    found = ledger.search(code, most=_MOST_OF_A_KIND)
    if not sections:
        return _search(ledger, found) if found.hits else None
    records = _records(ledger)
    others = [hit for hit in found.to_dict()["hits"] if hit["code"] != known]
    if others:
        sections += search_document(found.text, others, found.left_out, records).sections
    title = f"{CodeKind(known[0]).noun.capitalize()} {known}"
    return Document("Thing", title, records, records, tuple(sections))
