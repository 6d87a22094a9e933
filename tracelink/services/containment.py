"""A containment asked of a ledger: the scope, its document, sets bounded together, and the holds that follow."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection

from tracelink.clock import running_seconds
from tracelink.errors import UsageError
from tracelink.genealogy.certificate.digest import DIGEST, digest_of
from tracelink.genealogy.certificate.write_certificate import certificate_of
from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.given_evidence import require_known_defect
from tracelink.genealogy.containment.lives import lives_of
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.containment.wanted_holds import holds_for
from tracelink.genealogy.flow.budget import Budget
from tracelink.genealogy.totals.totals import ScopeTotals, totals_of
from tracelink.report.format.document import Document
from tracelink.report.format.table_csv import csv_file
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.tables_people import consignees_file
from tracelink.services.badge_proof import DecidedBy
from tracelink.services.codes import resolve_thing
from tracelink.services.joint_bounds import JointBounds, joint_bounds
from tracelink.services.place_holds import HoldResult, place_holds_of
from tracelink.services.scope_document import scope_document
from tracelink.store.records.scope_facts import scope_facts
from tracelink.store.records.sql_records import SqlRecords

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking


def as_recorded(records: SqlRecords, query: ContainmentQuery) -> ContainmentQuery:
    """Return a query with the codes that the records have: what is asked with a scan and what is typed is one question.

    Args:
        records: the records, inside a transaction.
        query: with codes as a person gives them: plant codes, SSCCs, numbered sleeves or raw scans.

    Raises:
        IdentifierError, UsageError: a code is invalid, or of something that no disc can touch.
    """
    return query.with_clauses(
        tuple(tuple(resolve_thing(records, code) for code in clause) for clause in query.clauses)
    )


def scope_of(
    records: SqlRecords, query: ContainmentQuery, watch: Callable[[float], None] = lambda _used: None
) -> Scope:
    """Compute the scope of a query.

    Args:
        records: the records, inside a transaction.
        query: with codes as for `as_recorded`.
        watch: told now and then how many of its seconds were used.

    Raises:
        UnknownCode, IdentifierError: a code is not in the records, or is invalid.
        UsageError: the query contradicts itself or the records.
    """
    budget = Budget(query.seconds, running_seconds, watch)
    scope = contain(records, as_recorded(records, query), budget)
    require_known_defect((*scope.evidence, *scope.untold), scope.defect)
    return scope


def totals(
    conn: Connection, query: ContainmentQuery, watch: Callable[[float], None] = lambda _used: None
) -> ScopeTotals:
    """Count what a query may have touched, inside one transaction: its scope without the list of containers.

    Args:
        conn: its connection.
        query: with codes as for `as_recorded`.
        watch: as for `scope_of`.

    Raises:
        UnknownCode, IdentifierError, UsageError: as `scope_of`.
    """
    records = SqlRecords(conn)
    found = totals_of(records, as_recorded(records, query), Budget(query.seconds, running_seconds, watch))
    require_known_defect((*found.evidence, *found.untold), found.defect)
    return found


@dataclass(frozen=True, slots=True)
class Containment:
    """What a query found, by the records up to an entry. It reports; an authorised person decides."""

    query: ContainmentQuery
    """The question asked, with the codes that the records have."""
    scope: Scope
    """Tiers, containers, groups and places with their bounds."""
    document: ScopeDocument | None
    """The facts of the scope document; None if it was not wanted."""
    sections: Document | None
    """The document as pages print it; None if no page was wanted."""
    together: tuple[JointBounds, ...]
    """Sets of things that were asked about together."""
    placed: HoldResult | None = None
    """The holds that were placed; None if none were asked for."""

    @property
    def affected(self) -> bool:
        """True if any disc is proven or possible, or any tool may carry the fault."""
        return bool(self.scope.suspects) or any(held.most for held in self.scope.containers)

    def to_page(self) -> str:
        """Return the scope document as a whole HTML document.

        Raises:
            UsageError: the question was asked without pages.
        """
        from tracelink.report.format.page import document_page  # noqa: PLC0415  made only when asked for

        return document_page(self._sections())

    def to_pdf(self) -> bytes:
        """Return the same document as a PDF.

        Raises:
            UsageError: the question was asked without pages.
        """
        from tracelink.report.format.document_pdf import document_pdf  # noqa: PLC0415  made only when asked for

        return document_pdf(self._sections())

    def to_workbook(self) -> bytes:
        """Return its tables as an XLSX workbook.

        Raises:
            UsageError: the question was asked without a document.
        """
        from tracelink.report.scope.workbook import scope_workbook  # noqa: PLC0415  made only when asked for

        return scope_workbook(self._document())

    def recipients_csv(self) -> str:
        """Return who has how many discs as CSV.

        Raises:
            UsageError: the question was asked without a document.
        """
        return csv_file(consignees_file(self._document())).decode()

    def _document(self) -> ScopeDocument:
        if self.document is None:
            raise UsageError("the question was asked without a document: ask with document=True")
        return self.document

    def _sections(self) -> Document:
        if self.sections is None:
            raise UsageError("the question was asked without pages: ask with pages=True")
        return self.sections

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout contain --format json`, with certificates and their digest."""
        data = self.scope.to_json()
        data["holds"] = [
            {"subject": item.subject, "first": item.first, "last": item.last}
            for item in holds_for(self.scope)
        ]
        data["document"] = None if self.document is None else self.document.to_json()
        data["together"] = [one.to_dict() for one in self.together]
        data["certificate"] = certificate_of(self.scope, [(one.name, one.places) for one in self.together])
        data[DIGEST] = digest_of(data)
        return data


@dataclass(frozen=True, slots=True)
class AnswerParts:
    """What is to be made of a scope, beside itself."""

    at: str
    """When it is made, RFC 3339 with offset."""
    together: Sequence[str] = ()
    """Sets, each a list of codes with commas between."""
    document: bool = True
    """The facts of the scope document."""
    pages: bool = False
    """The same in sections with pictures, as pages print it."""
    watch: Callable[[float], None] = lambda _used: None
    """Told now and then how many seconds of the question were used."""


def answer(conn: Connection, query: ContainmentQuery, wanted: AnswerParts) -> Containment:
    """Answer a query inside one transaction.

    Args:
        conn: its connection.
        query: the question.
        wanted: what is to be made of the scope.

    Raises:
        LedgerError: as `scope_of`; or a set names something that the records do not know.
    """
    records = SqlRecords(conn)
    query = as_recorded(records, query)
    return describe(conn, query, scope_of(records, query, wanted.watch), wanted)


def describe(conn: Connection, query: ContainmentQuery, scope: Scope, wanted: AnswerParts) -> Containment:
    """Make what is wanted of a scope, inside the transaction that it was computed in."""
    with scope.budget:
        return _described(conn, query, scope, wanted)


def _described(conn: Connection, query: ContainmentQuery, scope: Scope, wanted: AnswerParts) -> Containment:
    records = SqlRecords(conn)
    together = tuple(joint_bounds(records, scope, wanted.together))
    if not wanted.document and not wanted.pages:
        return Containment(query, scope, None, None, together)
    lives = lives_of(scope)
    judgements = [one.judgement for life in lives for one in life.judged]
    document = scope_document(records, scope, lives, scope_facts(conn, scope, judgements), at=wanted.at)
    if not wanted.pages:
        return Containment(query, scope, document, None, together)
    # Pictures and sections cost a moment, which only those who want them pay.
    from tracelink.report.scope.pictures import scope_pictures  # noqa: PLC0415
    from tracelink.report.scope.sections import scope_sections  # noqa: PLC0415

    pictures = scope_pictures(records, scope, lives, judgements, at=wanted.at)
    return Containment(query, scope, document, scope_sections(document, pictures), together)


def hold(booking: Booking, query: ContainmentQuery, wanted: AnswerParts, decided: DecidedBy) -> Containment:
    """Answer a query and hold what follows, in one write transaction: nothing can be packed or shipped in between.

    Args:
        booking: the transaction.
        query: the question.
        wanted: what is to be made of the scope.
        decided: by whom and why; any PIN has been checked.

    Raises:
        RefusedByRule: the person may not place holds.
        LedgerError: as `answer`.
    """
    conn = booking.connection
    query = as_recorded(SqlRecords(conn), query)
    scope = scope_of(SqlRecords(conn), query, wanted.watch)
    placed = place_holds_of(booking, scope, decided.by, decided.reason, decided.at or wanted.at)
    # A hold moves no disc: up to its entry the scope is the same, and the document tells of the hold.
    scope = replace(scope, head=SqlRecords(conn).head())
    return replace(describe(conn, query, scope, wanted), placed=placed)
