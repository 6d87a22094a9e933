"""The sheets of a scope document's workbook, before they are written."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.sections import glance

Cell = str | int | float | bool | None

COUNT = "#,##0"
_SIGNED = "+#,##0;-#,##0;±0"
_SHARE = "0.0 %"


@dataclass(frozen=True, slots=True)
class BookSheet:
    """One sheet before it is written."""

    name: str
    """On its tab."""
    columns: Sequence[tuple[str, str]]
    """(heading, number format); the format is empty for text."""
    rows: Iterable[Sequence[Cell]]
    """As many cells as columns each."""


def book_sheets(document: ScopeDocument) -> Iterable[BookSheet]:
    """Return the sheets in their order.

    Args:
        document: the facts.
    """
    yield BookSheet("summary", (("what", ""), ("value", "")), _summary(document))
    yield BookSheet("containers", _CONTAINERS, _containers(document))
    yield BookSheet("consignees", _CONSIGNEES, _consignees(document))
    yield BookSheet("tiers", _TIERS, _tiers(document))
    yield BookSheet("places", _PLACES, _places(document))
    yield BookSheet(
        "identifiers",
        (("thing", ""), ("where to look", ""), ("what it says", "")),
        [(one.thing, one.look_at, one.says) for one in document.identifiers],
    )
    yield BookSheet("samples", _SAMPLES, _samples(document))
    yield BookSheet("balance", _BALANCE, _balance(document))
    yield BookSheet("other lots", _RELATED, _related(document))
    yield BookSheet("holds", _HOLDS, _holds(document))
    yield BookSheet("cases", _CASES, _cases(document))
    yield BookSheet("in plant", _IN_PLANT, _in_plant(document))
    yield BookSheet("gaps", (("kind", ""), ("entry", "0"), ("what", "")), _gaps(document))


def _summary(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    stamp = document.imprint
    yield from glance(document)
    yield "gaps", len(document.quality.gaps)
    yield "contradictions", len(document.quality.contradictions)
    yield "suspect and free to ship, rows", len(document.free)
    yield "suspect and free to ship, discs at most", sum(row.most for row in document.free)
    yield "journal entry of the data cut-off", stamp.head_seq
    yield "its hash", stamp.head_hash
    yield "recorded (UTC)", stamp.head_at
    yield "printed", stamp.printed_at
    yield "version of this answer", document.version
    yield "program", stamp.program
    yield (
        "note",
        "A report from the records, not a decision: an authorised person decides. Unknown is never counted as cleared.",
    )


_CONTAINERS = (
    ("what", ""),
    ("code", ""),
    ("status", ""),
    ("lot", ""),
    ("discs", COUNT),
    ("affected at least", COUNT),
    ("affected at most", COUNT),
    ("chance of any", _SHARE),
    ("bounds exact", ""),
    ("pallet or place", ""),
    ("shipment", ""),
    ("consignee", ""),
    ("order", ""),
    ("left the plant", ""),
    ("hold", ""),
    ("numbers", ""),
)


def _containers(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for one in document.containers:
        shipment = one.stands_in[-1] if one.recipient and one.stands_in else ""
        around = [code for code in one.stands_in if code != shipment]
        yield (
            one.kind,
            one.code,
            one.status,
            one.lot,
            one.pieces,
            one.least,
            one.most,
            one.chance,
            one.tight,
            ", ".join(around),
            shipment,
            one.recipient,
            one.order,
            (one.shipped_at or "yes") if one.shipped else "no",
            one.hold or ("left" if one.shipped else "NONE"),
            ", ".join(one.numbers),
        )


_CONSIGNEES = (
    ("consignee", ""),
    ("country", ""),
    ("order", ""),
    ("shipment", ""),
    ("left the plant", ""),
    ("containers", COUNT),
    ("discs", COUNT),
    ("affected at least", COUNT),
    ("affected at most", COUNT),
    ("chance of any", _SHARE),
    ("bounds exact", ""),
    ("contact", ""),
    ("passed on to", ""),
)


def _consignees(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for one in document.recipients:
        yield (
            one.name,
            one.country,
            ", ".join(dict.fromkeys(each.order for each in one.deliveries)),
            ", ".join(each.shipment for each in one.deliveries),
            ", ".join(each.departed_at if each.shipped else "not yet" for each in one.deliveries),
            one.containers,
            one.pieces,
            one.least,
            one.most,
            one.chance,
            one.tight,
            one.contact or "not in the records",
            one.onward or "unknown",
        )


_TIERS = (
    ("tier", ""),
    ("lot", ""),
    ("first stroke", "0"),
    ("last stroke", "0"),
    ("discs", COUNT),
    ("why", ""),
)


def _tiers(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for tier in document.tiers:
        for span in tier.strokes.spans:
            yield tier.name.value, tier.lot, span.first, span.last, len(span), tier.reason


_PLACES = (
    ("place", ""),
    ("discs there", COUNT),
    ("affected at least", COUNT),
    ("affected at most", COUNT),
)


def _places(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for place in document.places:
        yield place.name, place.pieces, place.least, place.most
    sums = document.totals
    yield "together", sums.places, None, None
    yield "in question", sums.pieces, sums.least, sums.most
    yield "difference", sums.difference, None, None


_SAMPLES = (
    ("sample", ""),
    ("lot", ""),
    ("stroke", "0"),
    ("life of", ""),
    ("stroke of its life", "0"),
    ("judged", ""),
    ("defect", ""),
    ("measured", ""),
    ("drawn", ""),
    ("judged at", ""),
    ("by", ""),
    ("entry", "0"),
)


def _samples(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for one in document.trigger.evidence:
        yield (
            one.sample,
            one.lot,
            one.stroke,
            one.life,
            one.position,
            "good" if one.good else "BAD",
            one.defect,
            one.measured,
            one.drawn_at,
            one.judged_at,
            one.judged_by,
            one.entry,
        )


_BALANCE = (
    ("lot", ""),
    ("stage", ""),
    ("came in", COUNT),
    ("went or there", COUNT),
    ("difference", _SIGNED),
)


def _balance(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for lot in document.balances:
        for line in lot.lines:
            yield lot.lot, line.name, line.came, line.went, line.difference
        yield lot.lot, "all stages", None, None, lot.difference


_RELATED = (
    ("shared", ""),
    ("through", ""),
    ("lot", ""),
    ("title", ""),
    ("discs pressed", COUNT),
    ("in the tiers", ""),
)


def _related(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for one in document.related:
        yield one.relation, one.through, one.lot, one.title, one.pressed, one.in_scope


_HOLDS = (
    ("hold", ""),
    ("about", ""),
    ("reason", ""),
    ("things named", COUNT),
    ("placed", ""),
    ("by", ""),
    ("entry", "0"),
    ("lifted by entry", "0"),
)


def _holds(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for one in document.holds:
        yield (
            one.code,
            one.cause,
            one.reason,
            one.things,
            one.placed_at,
            one.placed_by,
            one.entry,
            one.lifted_entry,
        )


_CASES = (
    ("case", ""),
    ("closed by entry", "0"),
    ("consignee", ""),
    ("what", ""),
    ("detail", ""),
    ("when", ""),
    ("entry", "0"),
)


def _cases(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for case in document.cases:
        yield case.code, case.closed_entry, "", "opened", case.reason, case.opened_at, None
        for one in case.news:
            yield case.code, case.closed_entry, one.consignee, one.what, one.detail, one.at, one.entry


_IN_PLANT = (
    ("what", ""),
    ("code", ""),
    ("status", ""),
    ("lot", ""),
    ("discs", COUNT),
    ("affected at least", COUNT),
    ("affected at most", COUNT),
    ("stands in", ""),
    ("hold", ""),
    ("barred by", ""),
    ("free to ship", ""),
)


def _in_plant(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    for row in document.in_plant:
        yield (
            row.kind,
            row.code,
            row.status,
            row.lot,
            row.pieces,
            row.least,
            row.most,
            ", ".join(row.stands_in),
            row.hold or "",
            row.bar,
            row.is_free,
        )


def _gaps(document: ScopeDocument) -> Iterable[Sequence[Cell]]:
    found = document.quality
    yield from (("gap", None, text) for text in found.gaps)
    yield from (("contradiction", None, text) for text in found.contradictions)
    yield from (("inferred", None, text) for text in found.inferred)
    for late in found.late:
        what = f"{late.kind}: happened {late.happened}, recorded {late.recorded}, by {late.by or 'nobody signed on'}"
        yield "late entry", late.entry, what
    for one in found.corrections:
        yield "correction", one.entry, f"{one.kind} corrects entry {one.corrects}: {one.reason} ({one.by})"
    yield "entries looked at", None, str(found.entries)
    yield "recorded before they happened", None, str(found.early)
    yield "no-reads", None, str(found.no_reads)
    yield "keyed by two people", None, str(found.keyed)
