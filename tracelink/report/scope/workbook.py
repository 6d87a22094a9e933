"""A scope document as a workbook: what a person sorts, filters and copies from."""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.ledger.count_words import kind_words
from tracelink.ledger.time_words import moment
from tracelink.report.format.disc_columns import in_words
from tracelink.report.format.plain import imprint
from tracelink.report.format.table import Cell, Kind, Signed, Table, keyed, table
from tracelink.report.format.table_workbook import BookStamp, workbook
from tracelink.report.scope import tables_cause, tables_people, tables_places, tables_records
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.sections import glance


def scope_workbook(document: ScopeDocument) -> bytes:
    """Return the workbook: summary, containers, consignees, tiers, identifiers, gaps and what belongs to them.

    Args:
        document: the facts.
    """
    stamp, trigger = document.imprint, document.trigger
    footer = imprint((stamp.head_seq, stamp.head_hash), stamp.printed_at)
    title = f"{kind_words(trigger.kind)} {trigger.cause}, version {document.version}"
    sheets = (in_words(sheet, document.words) for sheet in _sheets(document))
    return workbook(sheets, BookStamp(title, stamp.printed_at, footer))


def _sheets(document: ScopeDocument) -> Iterator[Table]:
    yield _summary(document)
    yield tables_places.containers(document)
    yield tables_people.consignees(document)
    yield tables_cause.tier_spans(document)
    yield tables_places.places(document)
    yield tables_places.identifiers(document)
    yield tables_cause.samples(document.trigger.evidence)
    yield tables_records.balances(document.balances)
    yield tables_records.related(document)
    yield tables_records.holds(document)
    yield tables_people.cases(document)
    yield tables_people.case_news(document)
    yield tables_places.in_plant(document.in_plant)
    yield tables_records.gaps(document)


def _summary(document: ScopeDocument) -> Table:
    columns = keyed((("what", Kind.CODE), ("value", Kind.NUMBER)))
    return table("summary", "At a glance", columns, _summed(document))


def _summed(document: ScopeDocument) -> Iterator[tuple[str, Cell]]:
    stamp = document.imprint
    yield from glance(document)
    yield "gaps", len(document.quality.gaps)
    yield "contradictions", len(document.quality.contradictions)
    sums = document.totals
    yield f"{document.words.many} in all places together", sums.places
    yield f"{document.words.many} in question", sums.pieces
    yield "difference", Signed(sums.difference)
    yield "suspect stock not on hold, rows", len(document.free)
    yield f"suspect stock not on hold, {document.words.many} at most", document.free_together.most
    yield "journal entry of the data cut-off", stamp.head_seq
    yield "its hash", stamp.head_hash
    yield "recorded", moment(stamp.head_at)
    yield "printed", moment(stamp.printed_at)
    yield "version of this answer", document.version
    yield "program", stamp.program
    yield (
        "note",
        "A report from the records, not a decision: an authorised person decides. Unknown is never counted as cleared.",
    )
