"""Writing to containment cases: by named people, one after the other, in the transaction that also reads.

Two people may have one case open. Each act is judged and written in one write transaction, so the second one sees
what the first has written; whoever says which entry was the last they saw is told what came after it, and
nothing of theirs is written over it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import text

from tracelink.errors import RefusedByRule, UsageError
from tracelink.genealogy.case.case_facts import Case, CaseFacts
from tracelink.genealogy.case.drawn_checks import drawn
from tracelink.genealogy.case.judge_replies import reply_findings
from tracelink.genealogy.case.kept_question import kept_question
from tracelink.genealogy.case.open_points import open_points
from tracelink.genealogy.case.standing import consignees_of, status_of
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.count_words import counted
from tracelink.ledger.entry import Entry, Stamp
from tracelink.ledger.kinds import case as kinds
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.case_scope import ScopeSummary
from tracelink.ledger.kinds.drill import DrillHeld
from tracelink.ledger.time_words import moment
from tracelink.station.common.station_facts import Person
from tracelink.store.journal import journal
from tracelink.store.office.cases import case_facts, entries_of, find_case
from tracelink.store.office.office_acts import OfficeAct, authorised, second_person
from tracelink.store.stations.answers import SqlStationQueries

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

_COUNT = text("SELECT COUNT(*) FROM containment_case")
_LINKED = text("SELECT hold FROM case_hold WHERE case_code = :case")


@dataclass(frozen=True, slots=True)
class CaseAuthor:
    """Somebody who writes to a case."""

    booking: Booking
    """The transaction."""
    stamp: Stamp
    """Person, time and station of what is written."""
    reason: str | None = None
    seen: int | None = None
    """The last entry of the case that the person saw; None if they did not say."""

    def require(self, act: OfficeAct) -> Person:
        """Return the person, who may do this act; raises RefusedByRule if they may not."""
        return authorised(self.booking.queries, self.stamp.person, act)

    def record(self, body: EntryBody) -> None:
        """Append an entry in this person's name."""
        self.booking.record(body, self.stamp, self.reason)


def open_case(hand: CaseAuthor, query: ContainmentQuery, scope: ScopeSummary, *, safety: bool) -> str:
    """Open a case with its first scope; returns its code.

    Raises:
        RefusedByRule: the person may not.
    """
    hand.require(OfficeAct.OPEN_CASE)
    count = int(hand.booking.connection.execute(_COUNT).scalar_one())
    code = PlantCode.build(CodeKind.CASE, count + 1).text
    hand.record(kinds.CaseOpened(code, kept_question(query), safety, scope))
    return code


def open_one(hand: CaseAuthor, given: str) -> Case:
    """Return a case that may be written to by this hand.

    Raises:
        UsageError: there is no such case, or what was seen is not an entry of it.
        RefusedByRule: it is closed, or somebody wrote to it since the person looked.
    """
    case = find_case(hand.booking.connection, given)
    if case.closed_seq is not None:
        raise RefusedByRule(
            f"case {case.code} was closed by entry {case.closed_seq}: open a new case for what came to light since"
        )
    if hand.seen is not None and hand.seen != case.last_seq:
        if hand.seen not in [entry.seq for entry in entries_of(hand.booking.connection, case)]:
            raise UsageError(
                f"--version {hand.seen}: that entry is not of case {case.code}; its last is {case.last_seq}"
            )
        raise RefusedByRule(_changed(hand.booking, case, hand.seen))
    return case


def _changed(booking: Booking, case: Case, seen: int) -> str:
    since = entries_of(booking.connection, case, seen)
    listed = "; ".join(_said(booking, entry) for entry in since)
    return (
        f"case {case.code} was changed after entry {seen}: {listed}. Nothing of yours was written: look at it "
        f"as it is now, up to entry {case.last_seq}"
    )


def _said(booking: Booking, entry: Entry) -> str:
    person = SqlStationQueries(booking.connection).person(entry.stamp.person or "")
    who = person.name if person else entry.stamp.person
    about = entry.body.get("consignee")
    return f"entry {entry.seq}, {entry.kind.replace('-', ' ')}{f' {about}' if about else ''} by {who} at {moment(entry.stamp.event_time)}"


def scope_again(hand: CaseAuthor, given: str, query: ContainmentQuery, scope: ScopeSummary) -> int:
    """Record one more scope of a case; returns its number."""
    hand.require(OfficeAct.CHANGE_SCOPE)
    case = open_one(hand, given)
    version = len(case_facts(hand.booking.connection, case.code).scope_entries) + 1
    hand.record(kinds.CaseScoped(case.code, version, kept_question(query), scope))
    return version


def link_holds(hand: CaseAuthor, given: str, holds: Sequence[str]) -> list[str]:
    """Say that holds belong to a case; returns those that did not yet."""
    hand.require(OfficeAct.PLACE_HOLDS)
    case = open_one(hand, given)
    linked = set(hand.booking.connection.execute(_LINKED, {"case": case.code}).scalars())
    new = [hold for hold in dict.fromkeys(holds) if hold not in linked]
    if new:
        hand.record(kinds.CaseHeld(case.code, tuple(new)))
    return new


def notify(hand: CaseAuthor, given: str, consignee: str, method: str, sha256: str) -> None:
    """Record that a consignee was told, with the hash of the text.

    Raises:
        UsageError: no scope of the case names the consignee.
    """
    hand.require(OfficeAct.SEND_NOTICES)
    facts = _facts(hand, given)
    _require_consignee(facts, consignee)
    version = len(facts.scope_entries)
    hand.record(
        kinds.CaseNotified(facts.case.code, consignee, said_words(method, "the method"), version, sha256)
    )


def reply(hand: CaseAuthor, given: str, consignee: str, counts: tuple[int, int | None, int | None]) -> None:
    """Record what a consignee said.

    Args:
        hand: who writes it down.
        given: the case.
        consignee: who said it.
        counts: discs on hand, returned, destroyed; None for what they did not speak of.
    """
    hand.require(OfficeAct.NOTE_REPLY)
    facts = _facts(hand, given)
    _require_consignee(facts, consignee)
    hand.record(kinds.CaseReplied(facts.case.code, consignee, *counts))


def choose_checks(hand: CaseAuthor, given: str, share: tuple[str, int, str]) -> tuple[str, ...]:
    """Record the level of effectiveness checks and draw who is checked; returns them.

    Args:
        hand: who decided.
        given: the case.
        share: level, percent and its source.
    """
    hand.require(OfficeAct.CHOOSE_CHECKS)
    facts = _facts(hand, given)
    names = [line.consignee for line in status_of(facts.recorded).lines]
    level, percent, source = share
    seed = journal.head(hand.booking.connection).hash
    chosen = drawn(names, percent, seed)
    hand.record(kinds.CaseChecksChosen(facts.case.code, level, percent, source, len(names), seed, chosen))
    return chosen


def checked(hand: CaseAuthor, given: str, consignee: str, result: str) -> None:
    """Record what an effectiveness check found."""
    hand.require(OfficeAct.NOTE_CHECK)
    facts = _facts(hand, given)
    _require_consignee(facts, consignee)
    hand.record(kinds.CaseChecked(facts.case.code, consignee, result))


def estimate(hand: CaseAuthor, given: str, date: str) -> None:
    """Record by when a person thinks the case may be done."""
    hand.require(OfficeAct.ESTIMATE)
    case = open_one(hand, given)
    hand.record(kinds.CaseEstimated(case.code, date))


def close(hand: CaseAuthor, given: str, second: str, *, despite: bool) -> tuple[str, ...]:
    """Close a case by two people; returns the points that were open.

    Args:
        hand: the first person, with the grounds as the reason.
        given: the case.
        second: badge of another authorised person.
        despite: whether they close it in spite of open points.

    Raises:
        RefusedByRule: one person twice, somebody not authorised, or open points and not `despite`.
    """
    first = hand.require(OfficeAct.CLOSE_CASE)
    same = "cannot be both people: a case is closed by two"
    other = second_person(hand.booking.queries, second, first, OfficeAct.CLOSE_CASE, same)
    facts = _facts(hand, given)
    status = status_of(facts.recorded)
    points = (*(one.sentence for one in reply_findings(status)), *open_points(status))
    if points and not despite:
        listed = "".join(f"\n  - {point}" for point in points)
        raise RefusedByRule(
            f"case {facts.case.code} has {counted(len(points), 'open point')}:{listed}\nTwo people may close it all the same "
            "with --despite and a reason that says why; the points are kept with it"
        )
    hand.record(kinds.CaseClosed(facts.case.code, other.code, points))
    return points


def record_drill(hand: CaseAuthor, body: DrillHeld) -> None:
    """Record a drill that was held."""
    hand.require(OfficeAct.RECORD_DRILL)
    hand.record(body)


def _facts(hand: CaseAuthor, given: str) -> CaseFacts:
    case = open_one(hand, given)
    return case_facts(hand.booking.connection, case.code)


def _require_consignee(facts: CaseFacts, consignee: str) -> None:
    known = consignees_of(facts.recorded.scopes)
    if consignee not in known:
        listed = ", ".join(known) or "nobody: nothing that may be affected has left the plant by its scopes"
        raise UsageError(f"case {facts.case.code} names no consignee {consignee!r}; it names {listed}")


def said_words(given: str, what: str) -> str:
    """Return what a person said, without blanks at its ends.

    Raises:
        UsageError: nothing is said.
    """
    said = given.strip()
    if not said:
        raise UsageError(f"{what} is empty: say it in a few words")
    return said
