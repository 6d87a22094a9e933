"""The summary of a case for an authority: what the records say now, in a text that the plant words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from tracelink.facts.authority_summary import AuthoritySummary, SummaryConsignee
from tracelink.facts.notice_content import NoticeProduct, products_of
from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.genealogy.case.standing import ConsigneeLine, status_of
from tracelink.genealogy.containment.in_plant import free_to_ship
from tracelink.report.case.letter_template import filled
from tracelink.report.case.notice import given_items
from tracelink.report.case.notice_items import AUTHORITY
from tracelink.report.case.status import effect_sentence
from tracelink.report.scope.document import ScopeDocument, plain
from tracelink.services.containment import AnswerParts, answer
from tracelink.store.office.cases import case_facts
from tracelink.store.office.notice_facts import notice_facts, notice_lots, plant_name
from tracelink.store.records.contacts import contact_on

_OWN = "authority-summary.txt.j2"
_DAY = 10


@dataclass(frozen=True, slots=True)
class CaseSummary:
    """A summary, ready to be looked at; nothing was recorded or sent."""

    facts: AuthoritySummary
    """What the records say."""
    text: str
    """The same in the words of the template, with what a person gave."""
    gaps: tuple[str, ...]
    """Items that nobody gave; each is a named gap in the text."""

    def to_dict(self) -> dict[str, Any]:
        """Return the facts as plain data, with `gaps`; what the counts are called is for the text only."""
        data: dict[str, Any] = plain(self.facts)
        return {name: value for name, value in data.items() if name != "words"} | {"gaps": list(self.gaps)}


def case_summary(
    conn: Connection, given: str, items: Mapping[str, str], *, at: str, template: Path | None = None
) -> CaseSummary:
    """Summarise a case by the records as they are now.

    Args:
        conn: a connection inside a transaction.
        given: the case's code.
        items: what a person says, by name.
        at: when it is made, RFC 3339 with offset.
        template: the plant's own wording; None for that of the program.

    Raises:
        UsageError: there is no such case or item, or the template cannot be read or filled.
    """
    values, gaps = given_items(AUTHORITY, items, "summary")
    facts = _facts(conn, given, at)
    text = filled("summary", _OWN, template, {"summary": facts, "item": values})
    return CaseSummary(facts, text, tuple(gaps))


def _facts(conn: Connection, given: str, at: str) -> AuthoritySummary:
    facts = case_facts(conn, given)
    status = status_of(facts.recorded)
    document = answer(conn, facts.query, AnswerParts(at)).document
    assert document is not None
    found, maker = document.answer, plant_name(conn)
    first = document.trigger.first_bad
    known = "" if first is None else first.judged_at
    dates = _departures(document)
    free = free_to_ship(document.in_plant)
    return AuthoritySummary(
        case=facts.case.code,
        safety=facts.case.safety,
        subject=found.subject,
        maker=maker,
        sender=contact_on(conn, maker, at[:_DAY]),
        date=at[:_DAY],
        records_up_to=document.imprint.head_seq,
        first_information=known,
        hours=_hours(known, at),
        lots=tuple(notice_lots(conn, sorted(document.trigger.lots))),
        made=document.totals.pieces,
        certain=found.certain,
        possible=found.possible,
        shipped_least=found.shipped.least,
        shipped_most=found.shipped.most,
        shipped_from=min(dates, default=""),
        shipped_to=max(dates, default=""),
        held=len(document.in_plant) - len(free),
        free=len(free),
        consignees=tuple(_consignee(line) for line in status.lines),
        root_cause=facts.recorded.root_cause or "",
        actions=tuple(f"{one.words}, by {one.owner}, due {one.due}" for one in facts.recorded.actions),
        checks=effect_sentence(status),
        estimate=status.estimate or "",
        products=_products(conn, facts, [line.consignee for line in status.lines], at),
        words=document.words,
    )


def _products(conn: Connection, facts: CaseFacts, names: Iterable[str], at: str) -> tuple[NoticeProduct, ...]:
    return products_of(unit for name in names for unit in notice_facts(conn, facts, name, at, "").units)


def _departures(document: ScopeDocument) -> list[str]:
    return [
        each.departed_at[:_DAY]
        for one in document.recipients
        for each in one.deliveries
        if each.shipped and each.departed_at
    ]


def _hours(known: str, at: str) -> float | None:
    if not known:
        return None
    return round((datetime.fromisoformat(at) - datetime.fromisoformat(known)).total_seconds() / 3600, 1)


def _consignee(line: ConsigneeLine) -> SummaryConsignee:
    notice, reply = line.notice, line.reply
    return SummaryConsignee(
        name=line.consignee,
        may_hold=line.may_hold,
        least=line.least,
        most=line.most,
        told_at="" if notice is None else notice.at,
        method="" if notice is None else notice.method,
        sha256="" if notice is None else notice.sha256,
        answered_at="" if reply is None else reply.at,
        on_hand=None if reply is None else reply.on_hand,
        returned_said=None if reply is None else reply.returned,
        destroyed_said=None if reply is None else reply.destroyed,
        returned=line.returned,
        destroyed=line.destroyed,
    )
