"""Where a carton or pallet is, as an entry ends it."""

from tracelink.ledger.kinds.warehouse import Nested
from tracelink.station.common.queries_dock import Nesting


def nested(code: str, standing: Nesting) -> Nested:
    """Return what an entry must know to end a nesting."""
    return Nested(code, standing.parent, standing.opened)
