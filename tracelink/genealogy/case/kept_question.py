"""A containment query as a case keeps it, and back."""

from __future__ import annotations

from tracelink.genealogy.containment.query import ContainmentQuery, Evidence
from tracelink.genealogy.containment.query_words import from_words
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.kinds.case import CaseOpened, CaseOpenedInWords, CaseScoped, CaseScopedInWords
from tracelink.ledger.kinds.case_scope import CaseEvidence, CaseQuestion

ScopedBody = CaseOpened | CaseScoped | CaseOpenedInWords | CaseScopedInWords
"""Bodies that hold a question with its answer."""


def kept_question(query: ContainmentQuery) -> CaseQuestion:
    """Return a query as the plain fields of an entry."""
    return CaseQuestion(
        cause=query.cause,
        shape=query.shape.value,
        evidence=tuple(CaseEvidence(one.lot, one.stroke, one.good, one.defect) for one in query.evidence),
        defect=query.defect,
        window=query.window or (),
        also=query.also,
        only_with=query.only_with,
        since=query.since,
        until=query.until,
        next_tests=query.next_tests,
    )


def query_of(body: ScopedBody) -> ContainmentQuery:
    """Return the query that an entry keeps, in whichever form.

    Raises:
        UsageError: an older entry has words that this program does not know.
    """
    if isinstance(body, CaseOpenedInWords | CaseScopedInWords):
        return from_words(body.words)
    kept = body.question
    window = kept.window
    return ContainmentQuery(
        cause=kept.cause,
        shape=Shape(kept.shape),
        evidence=tuple(Evidence(one.lot, one.stroke, one.good, one.defect) for one in kept.evidence),
        defect=kept.defect,
        window=(window[0], window[1]) if window else None,
        also=kept.also,
        only_with=kept.only_with,
        since=kept.since,
        until=kept.until,
        next_tests=kept.next_tests,
    )
