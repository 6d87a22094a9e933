"""Writing to containment cases: each act is one transaction of one named person."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from tracelink.errors import UsageError
from tracelink.genealogy.case.case_facts import Case
from tracelink.genealogy.case.compare_scopes import ScopeDifference, difference, summary_of
from tracelink.genealogy.case.judge_replies import ReplyFinding, reply_findings
from tracelink.genealogy.case.standing import status_of
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.query_words import question_words
from tracelink.ledger.kinds.case_scope import ScopeSummary
from tracelink.services.badge_proof import Badge, acting, require_pin, stamp_of
from tracelink.services.containment import as_recorded, scope_of
from tracelink.services.place_holds import place_holds_of
from tracelink.store.ledger import Ledger
from tracelink.store.office import case_acts
from tracelink.store.office.case_acts import CaseAuthor
from tracelink.store.office.cases import case_facts, open_cases_about
from tracelink.store.records.settings import setting_with_source
from tracelink.store.records.sql_records import SqlRecords


@dataclass(frozen=True, slots=True)
class CaseSigner:
    """Who writes to a case.

    Raises:
        UsageError: the badge is no Badge.
    """

    by: Badge
    """Badge of the person who acts."""
    reason: str | None = None
    """Why, in a few words; needed to open, scope, hold and close."""
    at: str | None = None
    """When it was, RFC 3339 with offset; None for now."""
    seen: int | None = None
    """The case's last entry as they saw it: the act is refused if somebody wrote to it since. None if they did not say."""

    def __post_init__(self) -> None:
        if not isinstance(self.by, Badge):
            raise UsageError(
                f"CaseSigner.by is {self.by!r}: expected a Badge, found {type(self.by).__name__}"
            )


@dataclass(frozen=True, slots=True)
class OpenedCase:
    """A case that was opened."""

    code: str
    scope: ScopeSummary
    """The scope that its question found."""
    alike: tuple[Case, ...]
    """Open cases that ask the same; how many tests it names makes no other question."""
    related: tuple[tuple[Case, str], ...]
    """Open cases about one of its causes that ask something else, each with its question."""


@dataclass(frozen=True, slots=True)
class NextScope:
    """One more scope of a case."""

    version: int
    """Its number, from 1."""
    scope: ScopeSummary
    """The scope that the question finds now."""
    found: ScopeDifference
    """How it differs from the scope before."""


@dataclass(frozen=True, slots=True)
class CaseHolds:
    """Holds that were placed for a case."""

    sentence: str
    """The holds placed, in a sentence."""
    joined: tuple[str, ...]
    """Holds that are new to the case: placed now, or there already."""


@dataclass(frozen=True, slots=True)
class ChecksDrawn:
    """Which consignees are asked whether the notice came and was acted on."""

    percent: int
    source: str
    """Source of the share."""
    consignees: tuple[str, ...]


@contextmanager
def writing(ledger: Ledger, signer: CaseSigner) -> Iterator[CaseAuthor]:
    """Open the write transaction in which an act is judged and written.

    Raises:
        IdentifierError: badge or time are invalid.
        RefusedByRule: the PIN is wrong.
    """
    # A wrong word is told before a PIN is asked for.
    stamp_of(signer.by, signer.at)
    with acting(ledger, signer.by) as booking:
        yield CaseAuthor(booking, stamp_of(signer.by, signer.at), signer.reason, signer.seen)


def open_case(ledger: Ledger, query: ContainmentQuery, signer: CaseSigner, *, safety: bool) -> OpenedCase:
    """Open a case with what a query finds now.

    Raises:
        RefusedByRule: the person may not.
        UnknownCode, IdentifierError, UsageError: as for a containment.
    """
    with writing(ledger, signer) as hand:
        conn = hand.booking.connection
        query = as_recorded(SqlRecords(conn), query)
        asked, found = question_words(query), open_cases_about(conn, query)
        others = [(facts.case, question_words(facts.query)) for facts in found]
        scope = summary_of(scope_of(SqlRecords(conn), query))
        return OpenedCase(
            case_acts.open_case(hand, query, scope, safety=safety),
            scope,
            tuple(case for case, question in others if question == asked),
            tuple((case, question) for case, question in others if question != asked),
        )


def next_scope(ledger: Ledger, case: str, signer: CaseSigner, query: ContainmentQuery | None) -> NextScope:
    """Record what the question of a case, or another one, finds now; earlier scopes stay.

    Raises:
        RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
        UnknownCode, IdentifierError, UsageError: as for a containment; or there is no such case.
    """
    with writing(ledger, signer) as hand:
        records = SqlRecords(hand.booking.connection)
        facts = case_facts(hand.booking.connection, case)
        asked = facts.query if query is None else as_recorded(records, query)
        scope = summary_of(scope_of(records, asked))
        version = case_acts.scope_again(hand, case, asked, scope)
    return NextScope(version, scope, difference(facts.recorded.scopes[-1], scope))


def place_holds(ledger: Ledger, case: str, signer: CaseSigner) -> CaseHolds:
    """Place the holds that the question of a case asks for now.

    Raises:
        RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
        UsageError: there is no such case.
    """
    with writing(ledger, signer) as hand:
        conn = hand.booking.connection
        found = scope_of(SqlRecords(conn), case_facts(conn, case).query)
        case_acts.open_one(hand, case)
        at = hand.stamp.event_time
        placed = place_holds_of(hand.booking, found, signer.by.code, signer.reason or "", at)
        # Placing a hold is not an entry of the case: what the person saw of it is still its last.
        joined = case_acts.link_holds(hand, case, placed.holds)
    return CaseHolds(placed.sentence, tuple(joined))


def note_reply(
    ledger: Ledger,
    case: str,
    signer: CaseSigner,
    consignee: str,
    counts: tuple[int, int | None, int | None],
) -> tuple[ReplyFinding, ...]:
    """Record what a consignee answered; returns what the records have against it.

    Args:
        ledger: the ledger.
        case: its code.
        signer: who writes it down.
        consignee: who said it.
        counts: discs on hand, returned, destroyed; None for what they did not speak of.

    Raises:
        RefusedByRule, UsageError: as `store.office.case_acts.reply`.
    """
    with writing(ledger, signer) as hand:
        case_acts.reply(hand, case, consignee, counts)
        status = status_of(case_facts(hand.booking.connection, case).recorded)
    return tuple(one for one in reply_findings(status) if one.consignee == consignee)


def draw_checks(ledger: Ledger, case: str, signer: CaseSigner, level: str, share: int | None) -> ChecksDrawn:
    """Decide how many consignees are checked, and draw them.

    Args:
        ledger: the ledger.
        case: its code.
        signer: who decides.
        level: A to E.
        share: for level B, percent over 10 and under 100; None for the plant's setting.

    Raises:
        RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
        UsageError: the share does not go with the level, or there is no such case.
    """
    with writing(ledger, signer) as hand:
        percent, source = _share(hand, level, share)
        chosen = case_acts.choose_checks(hand, case, (level, percent, source))
    return ChecksDrawn(percent, source, chosen)


def _share(hand: CaseAuthor, level: str, share: int | None) -> tuple[int, str]:
    if share is not None:
        if level != "B" or not 10 < share < 100:
            raise UsageError(
                f"--share {share} with level {level}: only level B has a share of its own, over 10 and under 100"
            )
        return share, "given by the person who decided, for level B"
    if level == "E":
        return 0, "none at level E; 21 CFR 7.42(b)(3), a model, not checked against the original text"
    found = setting_with_source(hand.booking.connection, f"effect_{level.lower()}_percent")
    return found.value, found.source


def note_check(ledger: Ledger, case: str, signer: CaseSigner, consignee: str, result: str) -> None:
    """Record what an effectiveness check found.

    Raises:
        RefusedByRule, UsageError: as `store.office.case_acts.checked`.
    """
    with writing(ledger, signer) as hand:
        case_acts.checked(hand, case, consignee, result)


def estimate(ledger: Ledger, case: str, signer: CaseSigner, day: str) -> None:
    """Record by when a person thinks a case may be done.

    Raises:
        RefusedByRule, UsageError: as `store.office.case_acts.estimate`.
    """
    with writing(ledger, signer) as hand:
        case_acts.estimate(hand, case, day)


def close(ledger: Ledger, case: str, signer: CaseSigner, second: Badge, *, despite: bool) -> tuple[str, ...]:
    """Close a case by two people; returns the points that were open.

    Raises:
        RefusedByRule: one person twice, somebody not authorised, or open points and not `despite`.
        UsageError: there is no such case.
    """
    require_pin(ledger, second.code, second.pin)
    with writing(ledger, signer) as hand:
        return case_acts.close(hand, case, second.code, despite=despite)
