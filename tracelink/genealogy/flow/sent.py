"""Which places had left the plant, and were not back, when loose discs came back."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence

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
    reached: dict[str, None] = {}
    seen: set[int] = set()
    for move in movements:
        if move.source == DiscPlace.CUSTOMERS:
            yield move, tuple(place for place in reached if _is_out(records, place, move, seen))
        reached[move.target] = None
        seen.add(move.seq)


def _is_out(records: Records, place: str, back: MovementFact, seen: Container[int]) -> bool:
    """Return whether a place had left by the time of a return, and had not itself come back before it."""
    return any(
        nest.closed is None or nest.closed not in seen
        for nest in records.parents_of(place)
        if _left_in(records, nest, back)
    )


def _left_in(records: Records, nest: NestFact, back: MovementFact) -> bool:
    """Return whether what stood in something left in a shipment by the time of a return, directly or on a pallet."""
    return any(
        _stood(nest, shipment) and _stood_in(records, nest.parent, shipment)
        for shipment in _shipments(records, nest.parent)
        if shipment.left_at is not None and instant(shipment.left_at) <= instant(back.at)
    )


def _shipments(records: Records, code: str) -> Iterable[ShipmentFact]:
    """The shipments in which something is or was, itself included."""
    seen: set[str] = set()
    todo = [code]
    while todo:
        one = todo.pop()
        if one in seen:
            continue
        seen.add(one)
        shipment = records.shipment(one)
        if shipment is not None:
            yield shipment
        todo += [nest.parent for nest in records.parents_of(one)]


def _stood_in(records: Records, code: str, shipment: ShipmentFact) -> bool:
    """Return whether something was in a shipment when it left."""
    return code == shipment.code or any(
        _stood(nest, shipment) and _stood_in(records, nest.parent, shipment)
        for nest in records.parents_of(code)
    )


def _stood(nest: NestFact, shipment: ShipmentFact) -> bool:
    # Loading, unloading and leaving are booked at one dock, so the order of the journal is their order.
    left = shipment.left_seq
    return left is not None and nest.opened < left and (nest.closed is None or nest.closed > left)
