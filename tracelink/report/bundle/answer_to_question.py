"""The answer to each of the auditor's questions in words and figures, made from the tables of the bundle."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from tracelink.facts.bundle_content import BundleFacts
from tracelink.report.bundle import answers_going, answers_making
from tracelink.report.bundle.audit_questions import AuditQuestion
from tracelink.report.format.table import Table

_OF_ROWS = {**answers_making.OF_ROWS, **answers_going.OF_ROWS}
_OF_FACTS = {**answers_making.OF_FACTS, **answers_going.OF_FACTS}


def answer_to(question: AuditQuestion, facts: BundleFacts, known: Mapping[str, Table]) -> str:
    """Return the answer to a question, as sentences.

    Args:
        question: what is asked.
        facts: what the bundle tells.
        known: its tables by key.
    """
    if not question.tables:
        return "Not in these records."
    return " ".join(_parts(question, facts, known)) or "None recorded."


def _parts(question: AuditQuestion, facts: BundleFacts, known: Mapping[str, Table]) -> Iterator[str]:
    if question.answer:
        yield _OF_FACTS[question.answer](facts)
        return
    for key in question.tables:
        rows = known[key].records()
        if not rows and known[key].otherwise:
            yield known[key].otherwise
        elif key in _OF_FACTS:
            yield _OF_FACTS[key](facts)
        elif rows and key in _OF_ROWS:
            yield _OF_ROWS[key](rows)
