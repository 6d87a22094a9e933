"""Containment cases: all of them, one with everything about it, its notices, and its clock."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from datetime import datetime
from urllib.parse import urlencode

from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from runout import CaseLetters, CaseProgress, OpenLedger, open_ledger
from tracelink.clock import local_now
from tracelink.ledger.count_words import counted
from tracelink.report.case.case_hours import case_clock
from tracelink.report.case.document import status_document
from tracelink.report.case.history_sentences import STORY_COLUMNS, story_rows
from tracelink.report.case.notice_items import Item, items_for
from tracelink.report.case.rows import CASE_COLUMNS, case_rows
from tracelink.report.format.document import Document
from tracelink.report.format.plain import imprint
from tracelink.report.format.table import table
from tracelink.web.frame import framed
from tracelink.web.lists.page_parts import Links, section, shown
from tracelink.web.question import fields_of_question

_OPEN_ACTS = (
    ("scope", "Ask again and record the scope"),
    ("holds", "Place its holds"),
    ("reply", "Record an answer"),
    ("level", "Draw effectiveness checks"),
    ("check", "Record a check"),
    ("estimate", "Expected completion"),
    ("root-cause", "Root cause"),
    ("action", "Corrective action"),
    ("link", "Link an investigation"),
    ("close", "Close it"),
)
_BESIDE = (
    ("/act/case-open", "Open a case"),
    ("/drill", "Drills"),
    ("/case-rules", "Rules that a case follows"),
)
_ZIP = "application/zip"


class CasePages:
    """The cases of a ledger."""

    def __init__(self, place: str) -> None:
        """Read one ledger.

        Args:
            place: its path or URL.
        """
        self._place = place

    def list(self, _request: Request) -> Response:
        """Show all cases, those that are open first."""
        with open_ledger(self._place, read_only=True) as ledger:
            cases = sorted(
                ledger.cases.listed().cases, key=lambda case: (case.closed_seq is not None, -case.seq)
            )
            listed = table("", "Cases", CASE_COLUMNS, case_rows(cases), "No case was opened.")
            return shown(ledger, "Containment cases", [section("Cases", listed)], _BESIDE)

    def case(self, request: Request) -> Response:
        """Show how far a case is, all entries of it, and what can be done."""
        code = request.path_params["code"]
        with open_ledger(self._place, read_only=True) as ledger:
            progress = ledger.cases.progress(code)
            history = ledger.cases.history(code)
            names = {owner.person: owner.name for owner in ledger.people.everybody().owners}
        document = _status(progress)
        told = story_rows(history.entries, names, history.facts.recorded.words)
        story = table("", "What was done", STORY_COLUMNS, told)
        closed = "" if progress.facts.case.closed_seq is None else ", closed"
        whole = Document(
            document.kind,
            f"{document.title}{closed}",
            document.imprint,
            document.footer,
            (*document.sections, section("Everything recorded of it", story)),
        )
        case = progress.facts.case.code
        return HTMLResponse(
            framed(whole, "links.html.j2", links=_acts(progress), kind="thing", looked_for=case)
        )

    def case_pdf(self, request: Request) -> Response:
        """Give the status for paper."""
        from tracelink.report.format.document_pdf import document_pdf  # noqa: PLC0415  the server starts without it

        with open_ledger(self._place, read_only=True) as ledger:
            progress = ledger.cases.progress(request.path_params["code"])
        saved = {"Content-Disposition": f'attachment; filename="{progress.facts.case.code}.pdf"'}
        return Response(document_pdf(_status(progress)), media_type="application/pdf", headers=saved)

    def notices(self, request: Request) -> Response:
        """Show the notices as they would be written with what a person says; nothing is recorded or sent."""
        given, code = request.query_params, request.path_params["code"]
        with open_ledger(self._place, read_only=True) as ledger:
            facts = ledger.cases.history(code).facts
            items = items_for(safety=facts.case.safety)
            written = _written(ledger, code, items, given, local_now())
            records = imprint(ledger.head, local_now(), seen="Read")
        case = facts.case.code
        letters = [
            (
                letter.consignee,
                (*_gaps(letter.gaps), *letter.unnamed, *letter.lacks),
                letter.text.splitlines(),
            )
            for letter in written.letters
        ]
        said = {"case": case, **_items(items, given)}
        page = framed(
            Document("Notices", f"Notices of case {case}", records, records, ()),
            "notices.html.j2",
            letters=letters,
            items=items,
            given=said,
            case=case,
            asked=urlencode(said),
            act="case-notice-safety" if facts.case.safety else "case-notice",
        )
        return HTMLResponse(page)

    def notice_files(self, request: Request) -> Response:
        """Give the files of the notices, packed: text, list of cartons and e-mail for each consignee."""
        given, code = request.query_params, request.path_params["code"]
        with open_ledger(self._place, read_only=True) as ledger:
            items = items_for(safety=ledger.cases.history(code).facts.case.safety)
            written = _written(ledger, code, items, given, given.get("at") or local_now())
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
            for letter in written.letters:
                for ending, content in letter.files.items():
                    file.writestr(f"{letter.name}{ending}", content)
        name = f"{written.facts.case.code}-notices.zip"
        saved = {"Content-Disposition": f'attachment; filename="{name}"'}
        return Response(packed.getvalue(), media_type=_ZIP, headers=saved)


def _status(progress: CaseProgress) -> Document:
    at = local_now()
    clock = case_clock(progress.facts, datetime.fromisoformat(at))
    return status_document(progress.facts, progress.now, progress.in_plant, at=at, clock=clock)


def _acts(progress: CaseProgress) -> Links:
    case = progress.facts.case
    seen = (
        (f"/case/{case.code}.pdf", "PDF"),
        (f"/contain?{urlencode(fields_of_question(progress.facts.query))}", "Its question, asked now"),
        (f"/case/{case.code}/notices", "Notices"),
        (f"/case/{case.code}/summary", "Summary for an authority"),
    )
    if case.closed_seq is not None:
        return (*seen, ("/holds", "Holds"))
    asked = urlencode({"case": case.code})
    acts = [(f"/act/case-{name}?{asked}", words) for name, words in _OPEN_ACTS]
    return (*seen, *acts)


def _items(items: tuple[Item, ...], given: QueryParams | Mapping[str, str]) -> dict[str, str]:
    return {item.name: text for item in items if (text := given.get(item.name, "").strip())}


def _written(
    ledger: OpenLedger, case: str, items: tuple[Item, ...], given: QueryParams, at: str
) -> CaseLetters:
    return ledger.notices.write(case, items=_items(items, given), at=at)


def _gaps(gaps: tuple[str, ...]) -> tuple[str, ...]:
    return (f"{counted(len(gaps), 'item')} not given: {', '.join(gaps)}.",) if gaps else ()
