"""The tables of a containment for the terminal: as many columns as a screen of 80 characters has room for.

`--format csv`, the document and the workbook have the rest.
"""

from dataclasses import replace

from tracelink.facts.scope_discs import Delivery
from tracelink.genealogy.containment.held import TOTAL, UNACCOUNTED, PlaceTotal
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.report.format.disc_columns import CHANCE, LEAST, MOST, SENT, THERE
from tracelink.report.format.table import Cell, Column, Kind, Signed
from tracelink.report.pictures.places_svg import in_order, place_name
from tracelink.report.scope.answer_text import least_to_most
from tracelink.report.scope.document import ScopeDocument

TIER_COLUMNS = (
    Column("tier", "tier"),
    Column("lot", "lot"),
    Column("strokes", "strokes", Kind.TEXT),
    Column("count", "discs", Kind.COUNT),
    Column("reason", "why", Kind.TEXT),
)
PLACE_COLUMNS = (
    Column("place", "where now"),
    THERE,
    Column("affected", "affected", Kind.MEASURE),
)
GROUP_COLUMNS = (
    Column("kind", "kind"),
    Column("code", "code or name", Kind.TEXT),
    THERE,
    Column("affected", "affected", Kind.MEASURE),
    Column("shipped", "left"),
)
LOOSE_COLUMNS = (
    Column("code", "container"),
    Column("what", "what", Kind.TEXT),
    Column("lot", "lot"),
    THERE,
    Column("affected", "affected", Kind.MEASURE),
)
CONSIGNEE_COLUMNS = (
    Column("consignee", "consignee", Kind.TEXT),
    Column("shipments", "shipment", Kind.TEXT),
    Column("left", "left the plant", Kind.TEXT),
    SENT,
    Column("affected", "affected", Kind.MEASURE),
)
CONTAINER_COLUMNS = (
    Column("code", "container"),
    Column("kind", "kind"),
    Column("status", "status"),
    Column("lot", "lot"),
    THERE,
    LEAST,
    MOST,
    replace(CHANCE, kind=Kind.MEASURE),
    Column("tight", "exact"),
    Column("inside", "inside"),
    Column("consignee", "consignee"),
)


FREE_COLUMNS = (
    Column("code", "what"),
    Column("kind", "kind"),
    Column("status", "status", Kind.TEXT),
    Column("lot", "lot", Kind.TEXT),
    THERE,
    Column("affected", "affected", Kind.MEASURE),
    Column("inside", "inside", Kind.TEXT),
)

_DAY = 10
"""Characters of the date in an RFC 3339 time."""


def tier_rows(scope: Scope) -> list[dict[str, Cell]]:
    """Return one row per tier, keys of `TIER_COLUMNS`."""
    return [
        {
            "tier": tier.name.value,
            "lot": tier.lot,
            "strokes": str(tier.strokes),
            "count": tier.discs,
            "reason": tier.reason,
        }
        for tier in scope.tiers
    ]


def place_rows(scope: Scope) -> list[dict[str, Cell]]:
    """Return one row per kind of place, in the order discs come to them, keys of `PLACE_COLUMNS`."""
    return [
        {
            "place": place.place if place.place == TOTAL else place_name(place, scope.words),
            "pieces": Signed(place.pieces) if place.place == UNACCOUNTED else place.pieces,
            # Apart from the column: it does not add up to what is affected in all.
            "affected": "" if place.place == TOTAL else affected(place),
        }
        for place in in_order(scope.places)
    ]


def container_rows(scope: Scope) -> list[dict[str, Cell]]:
    """Return one row per container that can hold an affected disc, keys of `CONTAINER_COLUMNS`."""
    return [
        {
            "code": held.code,
            "kind": held.kind,
            "status": "shipped" if held.shipped else held.status,
            "lot": held.lot,
            "pieces": held.pieces,
            "least": held.least,
            "most": held.most,
            "chance": None if held.chance is None else probability(held.chance),
            "tight": _yes(held.tight),
            "inside": " in ".join(held.parents),
            "consignee": held.consignee,
        }
        for held in scope.containers
        if held.most
    ]


def probability(chance: float) -> str:
    """Return a chance with four decimals, never rounded up to a certainty or down to none."""
    if 0 < chance < 0.00005:
        return "<0.0001"
    if 0.99995 <= chance < 1:
        return ">0.9999"
    return f"{chance:.4f}"


def group_rows(scope: Scope, *, with_consignees: bool = False) -> list[dict[str, Cell]]:
    """Return one row per pallet, shipment, order and country, with its joint bounds, keys of `GROUP_COLUMNS`.

    Args:
        scope: the containment.
        with_consignees: one per consignee as well; a scope with its document lists them apart.
    """
    return [
        {
            "kind": group.kind,
            "code": group.code,
            "pieces": group.bound.pieces,
            "affected": affected(group.bound),
            "shipped": _yes(group.shipped),
        }
        for group in scope.groups
        if group.bound.most and (with_consignees or group.kind != "consignee")
    ]


def free_rows(document: ScopeDocument) -> list[dict[str, Cell]]:
    """Return one row per suspect thing in the plant that nothing stops, keys of `FREE_COLUMNS`."""
    return [
        {
            "code": row.code,
            "kind": row.kind,
            "status": row.status,
            "lot": row.lot,
            "pieces": row.pieces,
            "affected": least_to_most(row.least, row.most),
            "inside": " in ".join(row.stands_in),
        }
        for row in document.free
    ]


def consignee_rows(document: ScopeDocument) -> list[dict[str, Cell]]:
    """Return one row per consignee, keys of `CONSIGNEE_COLUMNS`."""
    return [
        {
            "consignee": f"{one.name} ({one.country})" if one.country else one.name,
            "shipments": [each.shipment for each in one.deliveries],
            "left": [_left(each) for each in one.deliveries],
            "sent": one.sent,
            "affected": least_to_most(one.least, one.most, tight=one.tight),
        }
        for one in document.recipients
    ]


def _left(delivery: Delivery) -> str:
    if not delivery.shipped:
        return "not yet"
    return delivery.departed_at[:_DAY] or "yes"


def loose_rows(scope: Scope) -> list[dict[str, Cell]]:
    """Return one row per container on no pallet that can hold an affected disc, keys of `LOOSE_COLUMNS`."""
    return [
        {
            "code": held.code,
            "what": f"{held.kind} {held.status}",
            "lot": held.lot,
            "pieces": held.pieces,
            "affected": affected(held.bound),
        }
        for held in scope.containers
        if held.most and not held.parents
    ]


def affected(bound: Bound | PlaceTotal) -> str:
    """Return how many can be affected, least to most."""
    return least_to_most(bound.least, bound.most, tight=bound.tight)


def _yes(fact: bool) -> str:
    return "yes" if fact else "no"
