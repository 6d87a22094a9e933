"""Units that are not in a carton: what is missing with them, and whether anybody can say so."""

from collections.abc import Mapping
from dataclasses import dataclass

from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.kinds.base import Moved
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.station_facts import Carton


@dataclass(frozen=True, slots=True)
class MissingUnits:
    """What is lost with units of a carton."""

    moves: tuple[Moved, ...]
    batch: str
    """Batch of their sleeves."""
    items: tuple[str, ...]
    """Items of their kit."""


def missing_units(
    carton: Carton, lots: Mapping[str, int], context: ScanContext, *, numbers_known: bool = False
) -> tuple[MissingUnits | None, str]:
    """Return what is lost with missing units, or None and what nobody can tell of them.

    Args:
        carton: that was counted.
        lots: lot -> its discs that are missing; empty if nobody counted the lots apart.
        context: the ledger.
        numbers_known: somebody says by number which sleeves are missing.
    """
    product = context.queries.product(carton.gtin)
    assert product is not None
    held = context.queries.carton_content(carton.sscc)
    unclear = {
        "numbers": product.numbered and not numbers_known,
        "lots": not lots,
        "sleeves": len(held.batches) != 1,
        "items": any(item.count != carton.units for item in held.items),
    }
    what = next((name for name, doubtful in unclear.items() if doubtful), None)
    if what is not None:
        return None, what
    moves = tuple(Moved(lot, count, carton.sscc, DiscPlace.LOST, None, None) for lot, count in lots.items())
    return MissingUnits(moves, held.batches[0].code, tuple(item.code for item in held.items)), ""
