"""The tables of a scope document on the cause: samples, levels, boundaries, tiers, next tests."""

from __future__ import annotations

from collections.abc import Iterable

from tracelink.facts.scope_cause import Boundary, JudgedDisc, SuspectEdge
from tracelink.genealogy.model.shapes import TierName
from tracelink.ledger.count_words import OF_DISCS, PieceWords, few
from tracelink.report.format.table import Cell, Column, Kind, Table, keyed, spans, table
from tracelink.report.scope.document import ScopeDocument

_SAMPLES = (
    Column("sample", "sample"),
    Column("lot", "lot"),
    Column("stroke", "stroke", Kind.NUMBER),
    Column("life", "life of"),
    Column("position", "stroke of its life", Kind.NUMBER),
    Column("judged", "judged"),
    Column("defect", "defect", Kind.TEXT),
    Column("measured", "measured", Kind.TEXT),
    Column("drawn_at", "drawn", Kind.TIME),
    Column("judged_at", "judged at", Kind.TIME),
    Column("by", "by", Kind.TEXT),
    Column("entry", "entry", Kind.ENTRY),
)


def samples(evidence: Iterable[JudgedDisc], words: PieceWords = OF_DISCS) -> Table:
    """Return the judged discs, along the life."""
    rows = [
        (
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
        for one in evidence
    ]
    nothing = f"No {words.one} was judged that speaks about this cause, so nothing is narrowed."
    return table("samples", f"The judged {words.many} this rests on", _SAMPLES, rows, nothing)


_LEVELS = keyed(
    (
        ("level", Kind.CODE),
        ("tool", Kind.CODE),
        ("stampers below it: good only", Kind.TEXT),
        ("BAD only", Kind.TEXT),
        ("both", Kind.TEXT),
        ("untested", Kind.TEXT),
    )
)


def levels(document: ScopeDocument) -> Table:
    """Return the line of tools above the cause, and what the stampers below each show."""
    rows = [
        (one.kind, one.code, *(few(codes) for codes in (one.good, one.bad, one.mixed, one.untested)))
        for one in document.levels.lines
    ]
    return table("", "Which level of the tool's family", _LEVELS, rows)


_ENDS = keyed(
    (
        ("life of", Kind.CODE),
        ("code", Kind.CODE),
        ("end", Kind.TEXT),
        ("stroke of its life", Kind.NUMBER),
        ("lot and stroke", Kind.TEXT),
        ("sample", Kind.CODE),
        ("off the press", Kind.TIME),
        ("judged at", Kind.TIME),
        ("places that may hold the next one", Kind.TEXT),
    )
)


def ends(boundaries: Iterable[Boundary]) -> Table:
    """Return where each suspected life starts and stops being suspect."""
    rows = [
        _end(one, name, edge)
        for one in boundaries
        for name, edge in (("last good", one.last_good), ("first BAD", one.first_bad))
        if edge is not None
    ]
    return table("", "Start and stop", _ENDS, rows)


def _end(boundary: Boundary, name: str, edge: SuspectEdge) -> tuple[Cell, ...]:
    fact = edge.evidence
    return (
        boundary.kind,
        boundary.code,
        name,
        fact.position,
        f"{fact.lot}, {fact.stroke}",
        fact.sample,
        edge.stacked_at,
        fact.judged_at,
        few(edge.may_be_in),
    )


_TIERS = keyed(
    (
        ("tier", Kind.CODE),
        ("lot", Kind.CODE),
        ("strokes", Kind.TEXT),
        ("discs", Kind.COUNT),
        ("why", Kind.TEXT),
    )
)


def tiers(document: ScopeDocument) -> Table:
    """Return the tiers, strongest suspicion first, with a total of each."""
    rows = [
        (tier.name.value, tier.lot, spans(tier.strokes), tier.discs, tier.reason) for tier in document.tiers
    ]
    sums = document.totals
    discs = {
        TierName.PROVEN: sums.proven,
        TierName.POSSIBLE: sums.possible,
        TierName.CLEARED: sums.cleared,
    }
    foot = [(f"{name.value}, together", "", "", count, "") for name, count in discs.items()]
    foot.append(("all tiers", "", "", sum(discs.values()), ""))
    return table(
        "", "Tiers", _TIERS, rows, f"No {document.words.one} that it touched is in the records.", foot=foot
    )


_SPANS = keyed(
    (
        ("tier", Kind.CODE),
        ("lot", Kind.CODE),
        ("first stroke", Kind.NUMBER),
        ("last stroke", Kind.NUMBER),
        ("discs", Kind.COUNT),
        ("why", Kind.TEXT),
    )
)


def tier_spans(document: ScopeDocument) -> Table:
    """Return the tiers with one row per stretch of strokes, to be sorted and filtered."""
    rows = [
        (tier.name.value, tier.lot, span.first, span.last, len(span), tier.reason)
        for tier in document.tiers
        for span in tier.strokes.spans
    ]
    return table("tiers", "Tiers", _SPANS, rows)


_TESTS = keyed(
    (
        ("lot", Kind.CODE),
        ("stroke", Kind.NUMBER),
        ("where", Kind.CODE),
        ("code", Kind.CODE),
        ("on pallet, shipment", Kind.TEXT),
        ("possible left if good", Kind.COUNT),
        ("if bad", Kind.COUNT),
        ("on average", Kind.MEASURE),
    )
)


def tests(document: ScopeDocument) -> Table:
    """Return which disc to judge next, the best first."""
    rows = [
        (
            one.lot,
            "any" if one.stroke is None else one.stroke,
            one.kind,
            one.place,
            one.stands_in,
            one.if_good,
            one.if_bad,
            f"{one.expected:.1f}",
        )
        for one in document.samples.tests
    ]
    return table("", "What to judge next", _TESTS, rows)
