"""Which places had left the plant, and were not back, when loose discs came back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from tracelink.genealogy.model.facts import MovementFact, NestFact, ShipmentFact
from tracelink.genealogy.model.records import Records
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.times import instant


def senders_of(
    records: Records, movements: Sequence[MovementFact]
) -> Iterator[tuple[MovementFact, tuple[str, ...]]]:
    """Yield each movement that brings loose discs in, with the places that may have given them up.

    Args:
        records: the records.
        movements: of one lot, in the order of `in_order`.
    """
    customers = DiscPlace.CUSTOMERS.value
    if all(move.source != customers for move in movements):
        return
    # By place, looked up when the first loose discs come back; None until then.
    departures: dict[str, list[tuple[datetime, int | None]] | None] = {}
    seen: set[int] = set()
    for move in movements:
        if move.source == customers:
            at = instant(move.at)
            out: list[str] = []
            for place, known in departures.items():
                left = list(_departures(records, place)) if known is None else known
                departures[place] = left
                if any(when <= at and (back is None or back not in seen) for when, back in left):
                    out.append(place)
            yield move, tuple(out)
        departures.setdefault(move.target, None)
        seen.add(move.seq)


def _departures(records: Records, place: str) -> Iterator[tuple[datetime, int | None]]:
    """When something left in a shipment, directly or on a pallet, and the entry by which it came back, if it did."""
    for nest in records.parents_of(place):
        for shipment in _shipments(records, nest):
            if shipment.left_at is not None:
                yield instant(shipment.left_at), nest.closed


def _shipments(records: Records, nest: NestFact) -> Iterator[ShipmentFact]:
    """The shipments that left with what stood in something; what stands in itself is in none."""
    todo = [(nest, frozenset({nest.child}))]
    while todo:
        inner, below = todo.pop()
        shipment = records.shipment(inner.parent)
        if shipment is not None and _stood(nest, shipment) and _stood(inner, shipment):
            yield shipment
        if inner.parent not in below:
            todo += [(outer, below | {inner.parent}) for outer in records.parents_of(inner.parent)]


def _stood(nest: NestFact, shipment: ShipmentFact) -> bool:
    # Loading, unloading and leaving are booked at one dock, so the order of the journal is their order. What was put
    # right afterwards is told as of the departure: gone with it, or not in it any more.
    left = shipment.left_seq
    return left is not None and nest.opened <= left and (nest.closed is None or nest.closed > left)
