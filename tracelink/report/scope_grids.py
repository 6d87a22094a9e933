"""The tables of a containment's page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from tracelink.genealogy.direct import DIRECT_KINDS
from tracelink.genealogy.evidence import Judged
from tracelink.genealogy.records import Records
from tracelink.genealogy.scope import BEYOND, TOTAL, UNACCOUNTED, ContainerBound, Scope, bounds_of
from tracelink.genealogy.shapes import TierName
from tracelink.report.grids import Grid, GridCell, grid, number_of, spans
from tracelink.report.places_svg import added_up, place_name
from tracelink.report.plain import percent, signed

_TIERS = (("tier", ""), ("lot", ""), ("strokes", "w"), ("discs", "n"), ("why", "w"))
_SAMPLES = (
    ("sample", ""),
    ("lot", ""),
    ("stroke", "n"),
    ("stroke of its life", "n"),
    ("judged", ""),
    ("defect", "w"),
    ("entry", "n"),
)
_BOUNDS = (("discs", "n"), ("least", "n"), ("most", "n"), ("chance of any", "n"))
_CONTAINERS = (
    ("place", ""),
    ("code", ""),
    ("status", "w"),
    ("lot", ""),
    *_BOUNDS,
    ("stands in", "w"),
    ("consignee", "w"),
    ("left the plant", ""),
    ("hold", ""),
)
_WIDE = "*"
"""Marks bounds that may be wider than the records force."""


def tiers(scope: Scope) -> Grid:
    """The tiers, strongest suspicion first, with a total of each."""
    rows: list[tuple[GridCell, ...]] = []
    foot: list[tuple[GridCell, ...]] = []
    for name in TierName:
        of_name = [tier for tier in scope.tiers if tier.name is name]
        rows += [
            (name.value, tier.lot, spans(tier.strokes), len(tier.strokes), tier.reason) for tier in of_name
        ]
        foot.append((f"{name.value}, together", "", "", sum(len(tier.strokes) for tier in of_name), ""))
    total = number_of(row[3] for row in rows)
    return grid(_TIERS, rows, [*foot, ("all tiers", "", "", total, "")])


def samples(judged: Iterable[Judged]) -> Grid:
    """The judged discs, along the life."""
    rows = [
        (
            one.judgement.sample,
            one.judgement.lot,
            one.judgement.stroke,
            one.position,
            "good" if one.good else "BAD",
            one.judgement.defect or "",
            one.judgement.seq,
        )
        for one in judged
    ]
    return grid(_SAMPLES, rows)


def places(scope: Scope) -> Grid:
    """The places, what they add up to, and the total: what the press counted, or what is in a carton in question."""
    lines = [line for line in scope.places if line.place != TOTAL]
    totals = [line for line in scope.places if line.place == TOTAL]
    rows = [
        (
            place_name(line),
            signed(line.pieces) if line.place == UNACCOUNTED else line.pieces,
            line.least,
            f"{line.most:,}{'' if line.tight else _WIDE}".replace(",", "\u202f"),
        )
        for line in lines
    ]
    foot: list[tuple[GridCell, ...]] = [("together", added_up(lines), "", "")]
    for total in totals:
        counted = "in question" if scope.kind in DIRECT_KINDS else "counted at the press"
        foot.append((counted, total.pieces, total.least, total.most))
        foot.append(("difference", signed(added_up(lines) - total.pieces), "", ""))
    return grid((("place", ""), ("discs there", "n"), ("least", "n"), ("most", "n")), rows, foot)


def containers(scope: Scope, touched: Sequence[ContainerBound], holds: Mapping[str, str] | None) -> Grid:
    """Each container that can hold an affected disc, those in the plant first."""
    rows = [
        (
            held.kind,
            held.code,
            "" if held.status == held.kind else held.status,
            held.lot,
            held.pieces,
            held.least,
            f"{held.most}{'' if held.tight else _WIDE}",
            percent(held.chance),
            ", ".join(held.parents),
            held.consignee,
            "yes" if held.shipped else "no",
            _hold_words(held, holds),
        )
        for held in sorted(touched, key=lambda one: (one.shipped, one.kind, one.code, one.lot))
    ]
    together = bounds_of(scope, [held.code for held in touched])
    foot = ("together", "", "", "", sum(held.pieces for held in touched), together.least, together.most)
    return grid(_CONTAINERS, rows, [(*foot, percent(together.chance), "", "", "", "")])


def hold_of(held: ContainerBound, holds: Mapping[str, str]) -> str | None:
    """The hold on a container: its own, or that of what it stands in, or of its lot."""
    names = (held.code, *held.parents, held.lot)
    return next((holds[name] for name in names if name in holds), None)


def unheld(touched: Iterable[ContainerBound], holds: Mapping[str, str]) -> list[ContainerBound]:
    """Containers in the plant that can hold an affected disc and that no hold stops."""
    return [held for held in touched if not held.shipped and hold_of(held, holds) is None]


def _hold_words(held: ContainerBound, holds: Mapping[str, str] | None) -> str:
    if holds is None:
        return "not looked up"
    return hold_of(held, holds) or ("left" if held.shipped else "NONE")


def groups(scope: Scope) -> Grid:
    """Pallets and shipments that can have an affected disc."""
    rows = [
        (
            group.kind,
            group.code,
            group.bound.pieces,
            group.bound.least,
            f"{group.bound.most}{'' if group.bound.tight else _WIDE}",
            percent(group.bound.chance),
            "yes" if group.shipped else "no",
        )
        for group in scope.groups
        if group.kind not in BEYOND and group.bound.most
    ]
    return grid((("what", ""), ("code", ""), *_BOUNDS, ("all of it left the plant", "")), rows)


def consignees(scope: Scope, records: Records) -> Grid:
    """Who has, or is to have, how many."""
    rows: list[tuple[GridCell, ...]] = []
    for group in scope.groups:
        if group.kind != "consignee" or not group.bound.most:
            continue
        theirs = [held for held in scope.containers if held.consignee == group.code and held.most]
        shipments = dict.fromkeys(
            code for held in theirs for code in held.parents if records.shipment(code) is not None
        )
        facts = [fact for code in shipments if (fact := records.shipment(code)) is not None]
        rows.append(
            (
                group.code,
                ", ".join(dict.fromkeys(fact.country for fact in facts)),
                ", ".join(f"{fact.code} (order {fact.order})" for fact in facts),
                len(theirs),
                group.bound.pieces,
                group.bound.least,
                f"{group.bound.most}{'' if group.bound.tight else _WIDE}",
                percent(group.bound.chance),
                "yes" if group.shipped else "no, or in part",
            )
        )
    together = bounds_of(scope, [str(row[0]) for row in rows])
    foot: tuple[GridCell, ...] = ("together", "", "", number_of(row[3] for row in rows))
    foot += (number_of(row[4] for row in rows), together.least, together.most, percent(together.chance), "")
    columns = (
        ("consignee", "w"),
        ("country", ""),
        ("shipments", "w"),
        ("containers", "n"),
        *_BOUNDS,
        ("left the plant", ""),
    )
    return grid(columns, rows, [foot] if rows else [])


def identifiers(scope: Scope, records: Records) -> Grid:
    """What someone who does not know this plant can look for."""
    rows: list[tuple[GridCell, ...]] = []
    for code in scope.suspects:
        tool = records.tool(code)
        if tool is not None and tool.matrix:
            where = f"matrix text in the run-out area of side {tool.side}" if tool.side else "matrix text"
            rows.append((f"{tool.kind} {code}", where, tool.matrix))
    lots = dict.fromkeys([held.lot for held in scope.containers] + [tier.lot for tier in scope.tiers])
    for lot in lots:
        fact = records.lot(lot)
        if fact is not None:
            rows.append((f"lot {lot}", "barcode on the sleeve (GTIN)", fact.gtin))
            rows.append(
                (f"lot {lot}", "title on the sleeve; disc of the set", f"{fact.title}; disc {fact.piece}")
            )
    return grid((("thing", ""), ("what to look at", "w"), ("what it says", "w")), rows)
