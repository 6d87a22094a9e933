"""The annex of a scope document: one row per pallet with its cartons in it, and what stands on no pallet."""

from __future__ import annotations

from collections.abc import Iterable

from tracelink.facts.scope_discs import Container
from tracelink.ledger.count_words import grouped
from tracelink.report.format.disc_columns import LEAST, MOST, THERE
from tracelink.report.format.table import Cell, Column, Kind, Table, table
from tracelink.report.scope.answer_text import least_to_most
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.tables_places import containers, groups, upper

_PALLET = "pallet"
_PALLETS = (
    Column("pallet", "pallet"),
    Column("consignee", "consignee, shipment", Kind.TEXT),
    Column("left", "left the plant", Kind.TIME),
    Column("hold", "hold"),
    Column("cartons", "cartons that may hold one", Kind.COUNT),
    THERE,
    LEAST,
    MOST,
    Column("codes", "its cartons, by how many of each are affected", Kind.TEXT),
)


def pallets(document: ScopeDocument) -> Table:
    """Return one row per pallet that can hold an affected disc, with the codes of those cartons on it that can."""
    bounds = {group.code: group for group in document.groups if group.kind == _PALLET}
    rows: list[tuple[Cell, ...]] = []
    for code, held in _on_pallets(document, bounds).items():
        first, group = held[0], bounds[code]
        rows.append(
            (
                code,
                [part for part in (first.recipient, *first.stands_in[1:]) if part],
                first.shipped_at or ("yes" if first.shipped else "no"),
                _stopped(held),
                len({one.code for one in held}),
                group.pieces,
                group.least,
                upper(group.most, tight=group.tight),
                _by_bounds(held),
            )
        )
    nowhere = f"No pallet is recorded that can hold an affected {document.words.one}."
    return table("", "Pallets", _PALLETS, rows, nowhere)


def off_pallets(document: ScopeDocument) -> Table:
    """Return the containers on no pallet, one row each."""
    bounds = {group.code for group in document.groups if group.kind == _PALLET}
    whole = containers(document)
    kept = [
        row
        for held, row in zip(document.containers, whole.rows, strict=True)
        if bounds.isdisjoint(held.stands_in)
    ]
    nowhere = f"Every container that can hold an affected {document.words.one} stands on a pallet."
    return table("", "Containers on no pallet", whole.columns, kept, nowhere)


def beyond_pallets(document: ScopeDocument) -> Table:
    """Return shipments, orders, countries and locations."""
    whole = groups(document)
    rows = [row for row in whole.rows if row[0] != _PALLET]
    return table("", "Shipments, orders and countries", whole.columns, rows, whole.otherwise)


def _on_pallets(document: ScopeDocument, pallets_: Iterable[str]) -> dict[str, list[Container]]:
    known, found = set(pallets_), dict[str, list[Container]]()
    for held in document.containers:
        for code in held.stands_in:
            if code in known:
                found.setdefault(code, []).append(held)
    return found


def _stopped(held: Iterable[Container]) -> str:
    """The holds on it; NONE where something of it could still leave."""
    inside = [one for one in held if not one.shipped]
    if not inside:
        return "left"
    if any(one.hold is None for one in inside):
        return "NONE"
    return ", ".join(dict.fromkeys(str(one.hold) for one in inside))


def _by_bounds(held: Iterable[Container]) -> str:
    """Codes of cartons, those with the same limits together, the most affected first."""
    alike: dict[tuple[int, int, int, bool], list[str]] = {}
    for one in held:
        alike.setdefault((one.least, one.most, one.pieces, one.tight), []).append(one.code)
    parts = [
        f"{least_to_most(least, most, tight=tight)} of {grouped(pieces)}: {', '.join(dict.fromkeys(codes))}"
        for (least, most, pieces, tight), codes in sorted(alike.items(), reverse=True)
    ]
    return "; ".join(parts)
