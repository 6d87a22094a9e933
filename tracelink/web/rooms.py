"""The rooms of the desk and their addresses: quality, auditors, the entrance."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from starlette.requests import Request
from starlette.responses import Response

from tracelink.web.acts import (
    browser_forms,
    case_forms,
    check_forms,
    hold_forms,
    investigation_forms,
    notice_forms,
    result_forms,
)
from tracelink.web.acts.act_pages import ActPages
from tracelink.web.asked import lab_questions, quality_questions
from tracelink.web.asked.question_pages import question_page
from tracelink.web.auditor.audit_pages import AuditPages
from tracelink.web.auditor.journal_pages import JournalPages
from tracelink.web.auditor.long_jobs import LongJobs
from tracelink.web.auditor.proof_pages import ProofPages
from tracelink.web.desk import Desk
from tracelink.web.entrance.browser_code import BrowserCodePage
from tracelink.web.entrance.browser_list import BrowserListPage
from tracelink.web.entrance.entrance import Entrance
from tracelink.web.entrance.sign_in import SignInPages
from tracelink.web.lists.case_pages import CasePages
from tracelink.web.lists.cause_pages import CausePages
from tracelink.web.lists.chart_pages import ChartPages
from tracelink.web.lists.finding_pages import FindingPages
from tracelink.web.lists.quality_pages import QualityPages

Page = Callable[[Request], Response]
FormPage = Callable[[Request, Mapping[str, str]], Response]
_ACTS = (
    *hold_forms.ACTS,
    *result_forms.ACTS,
    *case_forms.ACTS,
    *notice_forms.ACTS,
    *investigation_forms.ACTS,
    *browser_forms.ACTS,
    *check_forms.ACTS,
)
_QUESTIONS = {
    "/samples": lab_questions.SAMPLES,
    "/carton-check": lab_questions.CARTONS,
    "/capability": lab_questions.CAPABILITY,
    "/drill": quality_questions.DRILL,
    "/pace": quality_questions.PACE,
    "/case-rules": quality_questions.CASE_RULES,
    "/case/{case}/summary": quality_questions.SUMMARY,
    "/audit/rules": quality_questions.RECORD_RULES,
}


class Rooms:
    """All pages but boards and stations."""

    def __init__(self, entrance: Entrance, tell_fault: Callable[[Exception], str]) -> None:
        """Make the pages of the ledger behind an entrance.

        Args:
            entrance: who may come in.
            tell_fault: keeps what nobody foresaw, and returns the sentence for the page.
        """
        place = entrance.place
        desk, acts, signing = Desk(place), ActPages(entrance, _ACTS), SignInPages(entrance)
        code = BrowserCodePage(entrance)
        cases, quality, findings = CasePages(place), QualityPages(place), FindingPages(place)
        causes = CausePages(place)
        audit, proofs = AuditPages(entrance, LongJobs(tell_fault)), ProofPages(entrance)
        self.close = audit.close
        self.pages: dict[str, Page] = {
            "/search": desk.search,
            "/thing/{code:path}": desk.thing,
            "/contain": desk.contain,
            "/contain.pdf": desk.contain_pdf,
            "/contain.xlsx": desk.contain_workbook,
            "/cases": cases.list,
            **{address: question_page(place, asked) for address, asked in _QUESTIONS.items()},
            "/case/{code}.pdf": cases.case_pdf,
            "/case/{code}/notices": cases.notices,
            "/case/{code}/notices.zip": cases.notice_files,
            "/case/{code}": cases.case,
            "/holds": quality.holds,
            "/investigations": quality.investigations,
            "/balance": quality.balance,
            "/chart": ChartPages(place).chart,
            "/findings": findings.findings,
            "/faults": causes.faults,
            "/cause": causes.cause,
            "/entry/{seq}": findings.entry,
            "/audit": audit.page,
            "/audit/job": audit.job,
            "/audit/bundle": audit.page,
            "/audit/bundle/{name}": audit.file,
            "/audit/proof": proofs.asked,
            "/audit/proof/{seq}.json": proofs.of_entry,
            "/journal": JournalPages(place).entries,
            "/browsers": BrowserListPage(place).page,
            "/browser": code.form,
            "/sign-in": signing.form,
            "/act/{name}": acts.form,
            "/done/{number}": acts.done,
        }
        """What is only looked at, by its address."""
        self.forms: dict[str, FormPage] = {
            "/audit/verify": audit.verify,
            "/audit/bundle": audit.bundle,
            "/audit/checkpoint": audit.checkpoint,
            "/audit/proof": proofs.to_checkpoint,
            "/audit/growth": proofs.of_growth,
            "/browser": code.sent,
            "/sign-in": signing.sent,
            "/sign-out": signing.out,
            "/act/{name}": acts.sent,
        }
        """What takes a form, by its address."""
