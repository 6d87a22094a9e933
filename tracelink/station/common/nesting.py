"""Where a carton or pallet is: as an entry ends it, and whether it has left the plant."""

from tracelink.ledger.closed_sets import ShipmentStatus
from tracelink.ledger.kinds.warehouse import Nested
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.queries_dock import Nesting


def nested(code: str, standing: Nesting) -> Nested:
    """Return what an entry must know to end a nesting."""
    return Nested(code, standing.parent, standing.opened)


def shipment_of(code: str, context: ScanContext) -> Nesting | None:
    """Return the shipment a pallet or a carton is in, the carton alone or with its pallet."""
    standing = context.queries.standing(code)
    if standing is not None and standing.what == "pallet":
        standing = context.queries.standing(standing.parent)
    return standing if standing is not None and standing.what == "shipment" else None


def has_left(carton: str, context: ScanContext) -> bool:
    """Return whether a carton is in a shipment that has left, alone or with its pallet."""
    outer = shipment_of(carton, context)
    return outer is not None and context.queries.shipment_status(outer.parent) == ShipmentStatus.SHIPPED
