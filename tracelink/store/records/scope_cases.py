"""What containment cases about the cause of a scope recorded: who was told, who answered, what was checked."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from sqlalchemy import Connection

from tracelink.facts.scope_records import CaseLine, CaseNews
from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.genealogy.case.standing import Check, Notice, Reply
from tracelink.genealogy.containment.query_words import question_words
from tracelink.ledger.count_words import PieceWords, counted
from tracelink.store.office.cases import all_cases, case_facts


def cases_about(conn: Connection, causes: Collection[str]) -> tuple[CaseLine, ...]:
    """Return the cases about one of several causes, the oldest first; open and closed ones, whatever else they ask.

    Args:
        conn: a connection.
        causes: the codes a scope was asked about.
    """
    found = [case_facts(conn, case.code) for case in all_cases(conn)]
    return tuple(_line(facts) for facts in found if not facts.causes.isdisjoint(causes))


def _line(found: CaseFacts) -> CaseLine:
    case = found.case
    return CaseLine(
        code=case.code,
        opened_at=found.opened_at,
        opened_by=case.name,
        reason=case.reason,
        marked_safety=case.safety,
        scopes=len(found.scope_entries),
        closed_entry=case.closed_seq,
        question=question_words(found.query),
        news=tuple(sorted(_news(found), key=lambda one: one.entry)),
    )


def _news(found: CaseFacts) -> Iterator[CaseNews]:
    recorded = found.recorded
    told: list[Notice | Reply | Check] = [*recorded.notices, *recorded.replies, *recorded.checks]
    for each in told:
        yield CaseNews(*_told(each, recorded.words), each.consignee, each.at, each.seq)


def _told(fact: Notice | Reply | Check, words: PieceWords) -> tuple[str, str]:
    if isinstance(fact, Notice):
        return "notice", f"by {fact.method}, on scope {fact.version}"
    if isinstance(fact, Check):
        return "effectiveness check", fact.result
    said = [f"{counted(fact.on_hand, words.one)} on hand"]
    said += [f"{counted(fact.returned, words.one)} sent back"] if fact.returned is not None else []
    said += [f"{counted(fact.destroyed, words.one)} destroyed"] if fact.destroyed is not None else []
    return "reply", ", ".join(said)
