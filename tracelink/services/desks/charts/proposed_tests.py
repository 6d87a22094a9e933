"""The tests that would narrow a containment that a chart proposes."""

from __future__ import annotations

from sqlalchemy import Connection

from tracelink.errors import LedgerError
from tracelink.genealogy.charting.proposed_scope import Proposal
from tracelink.genealogy.containment.query_words import from_words
from tracelink.services.containment import scope_of
from tracelink.store.records.sql_records import SqlRecords


def with_tests(conn: Connection, proposed: Proposal) -> Proposal:
    """Return a proposal with the discs whose test would narrow it most."""
    try:
        scope = scope_of(SqlRecords(conn), from_words(proposed.words))
    except LedgerError:
        # Records that contradict the question are told where it is asked; a chart is no place to stop for them.
        return proposed
    return proposed.narrowed_by(scope.next_tests.tests)
