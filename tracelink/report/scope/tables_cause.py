"""The tables of a scope document on the cause: samples, levels, boundaries, tiers, next tests."""

from __future__ import annotations

from collections.abc import Iterable

from tracelink.genealogy.model.shapes import TierName
from tracelink.report.format.grids import Grid, GridCell, grid, spans
from tracelink.report.format.plain import grouped
from tracelink.report.scope.cells import few, moment
from tracelink.report.scope.doc_cause import Boundary, JudgedDisc, SuspectEdge
from tracelink.report.scope.document import ScopeDocument


def samples(evidence: Iterable[JudgedDisc]) -> Grid:
    """The judged discs, along the life."""
    columns = (
        ("sample", ""),
        ("lot", ""),
        ("stroke", "n"),
        ("stroke of its life", "n"),
        ("judged", ""),
        ("defect", "w"),
        ("measured", "w"),
        ("drawn", ""),
        ("judged at", ""),
        ("by", "w"),
        ("entry", "n"),
    )
    rows = [
        (
            one.sample,
            one.lot,
            one.stroke,
            one.position,
            "good" if one.good else "BAD",
            one.defect,
            one.measured,
            moment(one.drawn_at),
            moment(one.judged_at),
            one.judged_by,
            one.entry,
        )
        for one in evidence
    ]
    return grid(columns, rows)


def levels(document: ScopeDocument) -> Grid:
    """The line of tools above the cause, and what the stampers below each show."""
    columns = (
        ("level", ""),
        ("tool", ""),
        ("stampers below it: good only", "w"),
        ("BAD only", "w"),
        ("both", "w"),
        ("untested", "w"),
    )
    rows = [
        (one.kind, one.code, *(few(codes) for codes in (one.good, one.bad, one.mixed, one.untested)))
        for one in document.levels.lines
    ]
    return grid(columns, rows)


def ends(boundaries: Iterable[Boundary]) -> Grid:
    """Where each suspected life starts and stops being suspect."""
    columns = (
        ("life of", ""),
        ("", ""),
        ("end", "w"),
        ("stroke of its life", "n"),
        ("lot and stroke", "w"),
        ("sample", ""),
        ("off the press", ""),
        ("judged at", ""),
        ("the next disc is in one of", "w"),
    )
    rows = [
        row
        for one in boundaries
        for name, edge in (("last good", one.last_good), ("first BAD", one.first_bad))
        if edge is not None
        for row in [_end(one, name, edge)]
    ]
    return grid(columns, rows)


def _end(boundary: Boundary, name: str, edge: SuspectEdge) -> tuple[GridCell, ...]:
    fact = edge.evidence
    return (
        boundary.kind,
        boundary.code,
        name,
        fact.position,
        f"{fact.lot}, {grouped(fact.stroke)}",
        fact.sample,
        moment(edge.stacked_at),
        moment(fact.judged_at),
        few(edge.may_be_in),
    )


def tiers(document: ScopeDocument) -> Grid:
    """The tiers, strongest suspicion first, with a total of each."""
    rows = [
        (tier.name.value, tier.lot, spans(tier.strokes), tier.discs, tier.reason) for tier in document.tiers
    ]
    sums = document.totals
    discs = {
        TierName.PROVEN: sums.proven,
        TierName.POSSIBLE: sums.possible,
        TierName.CLEARED: sums.cleared,
    }
    foot: list[tuple[GridCell, ...]] = [
        (f"{name.value}, together", "", "", count, "") for name, count in discs.items()
    ]
    columns = (("tier", ""), ("lot", ""), ("strokes", "w"), ("discs", "n"), ("why", "w"))
    return grid(columns, rows, [*foot, ("all tiers", "", "", sum(discs.values()), "")])


def tests(document: ScopeDocument) -> Grid:
    """Which disc to judge next, the best first."""
    columns = (
        ("lot", ""),
        ("stroke", "n"),
        ("where", ""),
        ("", ""),
        ("stands in", "w"),
        ("possible left if good", "n"),
        ("if bad", "n"),
        ("on average", "n"),
    )
    rows = [
        (
            one.lot,
            "any" if one.stroke is None else one.stroke,
            one.kind,
            one.place,
            ", ".join(one.stands_in),
            one.if_good,
            one.if_bad,
            f"{one.expected:.1f}",
        )
        for one in document.samples.tests
    ]
    return grid(columns, rows)
