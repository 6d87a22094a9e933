"""The answer of a case for its bundle: the recorded scope, and the question asked again with its certificates."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection

from tracelink.facts.case_answer import CaseAnswer
from tracelink.genealogy.case.compare_scopes import difference, summary_of
from tracelink.genealogy.case.standing import status_of
from tracelink.services.containment import AnswerParts, describe, scope_of
from tracelink.store.office.cases import case_facts
from tracelink.store.records.sql_records import SqlRecords


def case_answer(conn: Connection, code: str) -> tuple[CaseAnswer, dict[str, Any]]:
    """Return the answer of a case, and as plain data what its question finds now, with certificates.

    Args:
        conn: a connection that sees one state.
        code: the case.

    Raises:
        UsageError: there is no such case.
    """
    facts = case_facts(conn, code)
    scope = scope_of(SqlRecords(conn), facts.query)
    # Without the document: it names the moment it was made, and the same ledger gives the same bundle.
    asked = describe(conn, facts.query, scope, AnswerParts(at="", document=False))
    recorded, now = facts.recorded.scopes[-1], summary_of(scope)
    answer = CaseAnswer(
        words=facts.words,
        version=len(facts.scope_entries),
        entry=facts.scope_entries[-1],
        scope=recorded,
        status=status_of(facts.recorded),
        now=now,
        differs=difference(recorded, now).differs,
    )
    return answer, asked.to_dict()
