"""What was recorded of containment cases, how far they are, and what their questions find now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection

from tracelink.genealogy.case.case_facts import Case, CaseFacts
from tracelink.genealogy.case.compare_scopes import ScopeDifference, difference, summary_of
from tracelink.genealogy.case.judge_replies import reply_findings
from tracelink.genealogy.case.open_points import open_points
from tracelink.genealogy.case.standing import CaseStatus, status_of
from tracelink.genealogy.containment.in_plant import free_to_ship, stopped_together
from tracelink.ledger.entry import Entry
from tracelink.report.case.difference import difference_json
from tracelink.report.case.in_plant_rows import InPlantNow
from tracelink.report.case.rows import case_json, case_rows
from tracelink.report.case.status import status_json
from tracelink.report.format.render import Cell
from tracelink.services.containment import scope_of
from tracelink.store.office.cases import all_cases, case_facts, entries_of, evidence_since
from tracelink.store.records.free_to_ship import in_plant
from tracelink.store.records.sql_records import SqlRecords


@dataclass(frozen=True, slots=True)
class CaseList:
    """The containment cases, oldest first."""

    cases: tuple[Case, ...]

    @property
    def any_open(self) -> bool:
        """Whether one of them is open."""
        return any(case.closed_seq is None for case in self.cases)

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout case list --format json`."""
        return case_rows(self.cases)


@dataclass(frozen=True, slots=True)
class CaseHistory:
    """All that was recorded of a case."""

    facts: CaseFacts
    """Question, scopes, holds, notices, replies, checks."""
    entries: tuple[Entry, ...]
    """Every entry about it, in order."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout case show --format json`."""
        return case_json(self.facts, self.entries)


@dataclass(frozen=True, slots=True)
class CaseProgress:
    """How far a case is, and what its question finds in the plant now."""

    facts: CaseFacts
    """Everything recorded of it."""
    now: CaseStatus
    """Consignee by consignee: told, answered, back, checked."""
    in_plant: InPlantNow
    """What could still be shipped, and what stops it."""

    @property
    def is_open(self) -> bool:
        """True if an answer contradicts the records, a point is open, or something suspect is free to ship."""
        return bool(reply_findings(self.now) or open_points(self.now) or free_to_ship(self.in_plant.rows))

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout case status --format json`."""
        return status_json(self.facts, self.now, self.in_plant)


@dataclass(frozen=True, slots=True)
class ScopeChange:
    """How what a case's question finds now differs from the newest scope that the case keeps."""

    case: str
    scope: int
    """Number of that scope."""
    evidence_since: tuple[str, ...]
    """Judgements that came since."""
    found: ScopeDifference
    """Discs and containers that came in or went out."""

    def to_dict(self) -> Mapping[str, Any]:
        """Return the same data as `runout contain --again CASE --format json`."""
        return {
            "case": self.case,
            "scope": self.scope,
            "evidence_since": list(self.evidence_since),
            **difference_json(self.found),
        }


def listed(conn: Connection) -> CaseList:
    """Return every case."""
    return CaseList(tuple(all_cases(conn)))


def history(conn: Connection, code: str) -> CaseHistory:
    """Return all that was recorded of a case.

    Raises:
        UsageError, IdentifierError: there is no such case.
    """
    facts = case_facts(conn, code)
    return CaseHistory(facts, tuple(entries_of(conn, facts.case)))


def progress(conn: Connection, code: str) -> CaseProgress:
    """Return how far a case is; its question is asked of the records now.

    Raises:
        UsageError, IdentifierError: there is no such case.
    """
    facts = case_facts(conn, code)
    scope = scope_of(SqlRecords(conn), facts.query)
    rows = in_plant(conn, scope)
    found = InPlantNow(scope.head, tuple(rows), stopped_together(rows, scope.holdings))
    return CaseProgress(facts, status_of(facts.recorded), found)


def asked_again(conn: Connection, code: str, seconds: float) -> ScopeChange:
    """Ask the question of a case of the records now; nothing is written.

    Args:
        conn: a connection that sees one state.
        code: the case.
        seconds: the time for the question, which the case does not keep.

    Raises:
        UsageError, IdentifierError: there is no such case, or that is no time.
    """
    facts = case_facts(conn, code)
    before = facts.recorded.scopes[-1]
    now = summary_of(scope_of(SqlRecords(conn), replace(facts.query, seconds=seconds)))
    since = evidence_since(conn, before, now)
    return ScopeChange(facts.case.code, len(facts.scope_entries), tuple(since), difference(before, now))
