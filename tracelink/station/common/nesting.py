"""Where a carton or pallet is: in words, and as an entry ends it."""

from tracelink.ledger.kinds.warehouse import Nested
from tracelink.station.common.queries_dock import Nesting


def where(standing: Nesting | None) -> str:
    """Return where something is, in words."""
    if standing is None:
        return "in no location"
    if standing.what == "location":
        return f"in location {standing.parent} ({standing.name})"
    if standing.what == "shipment":
        return f"in shipment {standing.parent} for {standing.name}, {standing.station}"
    return f"on pallet {standing.parent}"


def nested(code: str, standing: Nesting) -> Nested:
    """Return what an entry must know to end a nesting."""
    return Nested(code, standing.parent, standing.opened)
