"""The tables of a scope document on the discs and the records: places, people, balances, holds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracelink.report.format.grids import Grid, GridCell, grid, number_of
from tracelink.report.format.plain import percent, signed
from tracelink.report.scope.cells import moment, most
from tracelink.report.scope.doc_discs import JointBoundsFacts, LotSums, Place
from tracelink.report.scope.document import ScopeDocument
from tracelink.store.records.free_to_ship import InPlant

_BOUNDS = (("discs", "n"), ("least", "n"), ("most", "n"), ("chance of any", "n"))


def places(document: ScopeDocument) -> Grid:
    """The places, what they add up to, and the total that they are held against."""
    sums = document.totals
    rows = [
        (line.name, _there(line), line.least, most(line.most, tight=line.tight)) for line in document.places
    ]
    counted = "counted at the press" if document.tiers else "in question"
    foot: list[tuple[GridCell, ...]] = [
        ("together", sums.places, "", ""),
        (counted, sums.pieces, sums.least, sums.most),
        ("difference", signed(sums.difference), "", ""),
    ]
    return grid((("place", ""), ("discs there", "n"), ("least", "n"), ("most", "n")), rows, foot)


def _there(line: Place) -> GridCell:
    return signed(line.pieces) if line.is_unaccounted else line.pieces


def containers(document: ScopeDocument) -> Grid:
    """Each container that can hold an affected disc, those in the plant first."""
    columns = (
        ("what", ""),
        ("code", ""),
        ("status", "w"),
        ("lot", ""),
        *_BOUNDS,
        ("stands in", "w"),
        ("consignee", "w"),
        ("left the plant", ""),
        ("hold", ""),
    )
    rows = [
        (
            held.kind,
            held.code,
            held.status,
            held.lot,
            held.pieces,
            held.least,
            most(held.most, tight=held.tight),
            percent(held.chance),
            ", ".join(held.stands_in),
            held.recipient,
            (held.shipped_at[:10] or "yes") if held.shipped else "no",
            held.hold or ("left" if held.shipped else "NONE"),
        )
        for held in document.containers
    ]
    foot = ("together", "", "", "", *_together(document.containers_together), "", "", "", "")
    return grid(columns, rows, [foot] if rows else [])


def _together(sums: JointBoundsFacts) -> tuple[GridCell, ...]:
    return sums.pieces, sums.least, most(sums.most, tight=sums.tight), percent(sums.chance)


def groups(document: ScopeDocument) -> Grid:
    """Pallets, shipments, orders and countries that can have an affected disc."""
    rows = [
        (
            one.kind,
            one.code,
            one.pieces,
            one.least,
            most(one.most, tight=one.tight),
            percent(one.chance),
            "yes" if one.shipped else "no",
        )
        for one in document.groups
    ]
    return grid((("what", ""), ("code", ""), *_BOUNDS, ("all of it left the plant", "")), rows)


def recipients(document: ScopeDocument) -> Grid:
    """Who has, or is to have, how many."""
    columns = (
        ("consignee", "w"),
        ("country", ""),
        ("order", "w"),
        ("shipment", "w"),
        ("left the plant", "w"),
        ("containers", "n"),
        ("discs", "n"),
        ("least", "n"),
        ("most", "n"),
        ("contact", "w"),
        ("passed on to", "w"),
    )
    rows = [
        (
            one.name,
            one.country,
            ", ".join(dict.fromkeys(each.order for each in one.deliveries)),
            ", ".join(each.shipment for each in one.deliveries),
            ", ".join(_left(each.departed_at, shipped=each.shipped) for each in one.deliveries),
            one.containers,
            one.pieces,
            one.least,
            most(one.most, tight=one.tight),
            one.contact or "not in the records",
            one.onward or "unknown",
        )
        for one in document.recipients
    ]
    foot: tuple[GridCell, ...] = ("together", "", "", "", "", number_of(row[5] for row in rows))
    foot += (*_together(document.recipients_together)[:3], "", "")
    return grid(columns, rows, [foot] if rows else [])


def _left(departed_at: str, *, shipped: bool) -> str:
    return (departed_at[:10] or "yes, day not recorded") if shipped else "not yet"


def cases(document: ScopeDocument) -> Grid:
    """Containment cases about the cause."""
    columns = (
        ("case", ""),
        ("opened", ""),
        ("by", "w"),
        ("reason", "w"),
        ("marked as safety", ""),
        ("scopes kept", "n"),
        ("closed", ""),
    )
    rows = [
        (
            one.code,
            moment(one.opened_at),
            one.opened_by,
            one.reason,
            "yes, by a person" if one.marked_safety else "no",
            one.scopes,
            "no" if one.closed_entry is None else f"entry {one.closed_entry}",
        )
        for one in document.cases
    ]
    return grid(columns, rows)


def case_news(document: ScopeDocument) -> Grid:
    """What those cases recorded of consignees."""
    columns = (("case", ""), ("consignee", "w"), ("what", ""), ("detail", "w"), ("when", ""), ("entry", "n"))
    rows = [
        (case.code, one.consignee, one.what, one.detail, moment(one.at), one.entry)
        for case in document.cases
        for one in case.news
    ]
    return grid(columns, rows)


def identifiers(document: ScopeDocument) -> Grid:
    """What someone who does not know this plant can look for."""
    rows = [(one.thing, one.look_at, one.says) for one in document.identifiers]
    return grid((("thing", ""), ("where to look", "w"), ("what it says", "w")), rows)


def balances(lots: Sequence[LotSums]) -> Grid:
    """Each lot, stage by stage: what came in, what went out or is there, and the difference with its sign."""
    columns = (("lot", ""), ("stage", ""), ("came in", "n"), ("went or there", "n"), ("difference", "n"))
    rows: list[tuple[GridCell, ...]] = []
    for lot in lots:
        rows += [(lot.lot, line.name, line.came, line.went, signed(line.difference)) for line in lot.lines]
        rows.append((lot.lot, "all stages", "", "", signed(lot.difference)))
    return grid(columns, rows)


def related(document: ScopeDocument) -> Grid:
    """Other lots, by what they share."""
    columns = (
        ("shared", "w"),
        ("through", "w"),
        ("lot", ""),
        ("title", "w"),
        ("discs pressed", "n"),
        ("in the tiers above", ""),
    )
    rows = [
        (one.relation, one.through, one.lot, one.title, one.pressed, "yes" if one.in_scope else "no")
        for one in document.related
    ]
    return grid(columns, rows)


def holds(document: ScopeDocument) -> Grid:
    """Holds, by whom and when."""
    columns = (
        ("hold", ""),
        ("about", ""),
        ("reason", "w"),
        ("things in question it names", "n"),
        ("placed", ""),
        ("by", "w"),
        ("entry", "n"),
        ("lifted", ""),
    )
    rows = [
        (
            one.code,
            one.cause,
            one.reason,
            one.things,
            moment(one.placed_at),
            one.placed_by,
            one.entry,
            "no" if one.lifted_entry is None else f"entry {one.lifted_entry}",
        )
        for one in document.holds
    ]
    return grid(columns, rows)


def free(rows: Sequence[InPlant]) -> Grid:
    """What nothing stops."""
    columns = (
        ("what", ""),
        ("code", ""),
        ("status", "w"),
        ("lot", "w"),
        ("discs", "n"),
        ("least", "n"),
        ("most", "n"),
        ("stands in", "w"),
    )
    return grid(
        columns,
        [
            (
                row.kind,
                row.code,
                row.status,
                row.lot,
                row.pieces,
                row.least,
                row.most,
                ", ".join(row.stands_in),
            )
            for row in rows
        ],
        [
            (
                "together",
                "",
                "",
                "",
                sum(row.pieces for row in rows),
                sum(row.least for row in rows),
                sum(row.most for row in rows),
                "",
            )
        ],
    )


def stopped(rows: Iterable[InPlant]) -> Grid:
    """How the rest in the plant is stopped, counted."""
    counts: dict[tuple[str, str], list[int]] = {}
    for row in rows:
        if not row.is_free:
            by = f"hold {row.hold}" if row.hold is not None else row.bar
            sums = counts.setdefault((row.kind, by), [0, 0, 0])
            for place, number in enumerate((1, row.least, row.most)):
                sums[place] += number
    columns = (("what", ""), ("stopped by", "w"), ("how many", "n"), ("least", "n"), ("most", "n"))
    lines: list[tuple[GridCell, ...]] = [(kind, by, *sums) for (kind, by), sums in sorted(counts.items())]
    return grid(columns, lines)


def late(document: ScopeDocument) -> Grid:
    """Late entries."""
    columns = (
        ("entry", "n"),
        ("what", ""),
        ("happened", ""),
        ("recorded", ""),
        ("late by", "n"),
        ("by", "w"),
    )
    rows = [
        (
            one.entry,
            one.kind,
            moment(one.happened),
            moment(one.recorded),
            f"{one.late_s // 3600} h {one.late_s // 60 % 60} min",
            one.by,
        )
        for one in document.quality.late
    ]
    return grid(columns, rows)


def corrections(document: ScopeDocument) -> Grid:
    """Corrections with their reasons."""
    columns = (("entry", "n"), ("corrects entry", "n"), ("what", ""), ("reason", "w"), ("by", "w"))
    rows = [(one.entry, one.corrects, one.kind, one.reason, one.by) for one in document.quality.corrections]
    return grid(columns, rows)
