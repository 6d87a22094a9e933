"""EPCIS events of returns: what came back, went into stock again or was destroyed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from tracelink.ledger.kinds.assembly.unit_return_entries import UnitCameBack
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.packing_changes import RejectUndone
from tracelink.ledger.kinds.returned_numbers import NumberCameBack, NumbersDestroyed, NumbersRestocked
from tracelink.ledger.kinds.returns import (
    CartonRestocked,
    CartonReturned,
    Destroyed,
    DiscsCameBack,
    DiscsRestocked,
    DiscsReturned,
    PalletCameBack,
)
from tracelink.report.epcis.event import Entry, Event, EventContext, discs_of, event, quantity, seen
from tracelink.report.epcis.making import Maker


def _returned(ledger: EventContext, entry: Entry, body: CartonReturned | PalletCameBack) -> Iterator[Event]:
    yield seen(ledger, entry, "receiving", "returned", epcList=[ledger.names.thing(body.left.child)])


def _unit_back(ledger: EventContext, entry: Entry, body: UnitCameBack) -> Iterator[Event]:
    """The unit is no longer in the carton that it was sent in, and is received by itself."""
    if body.left.child not in ledger.things:
        return
    unit = [ledger.names.thing(body.left.child)]
    yield event(
        ledger,
        entry,
        "AggregationEvent",
        "out",
        action="DELETE",
        parentID=ledger.names.thing(body.left.parent),
        childEPCs=unit,
        bizStep="unpacking",
        disposition="returned",
    )
    yield seen(ledger, entry, "receiving", "returned", epcList=unit)


def _discs_returned(ledger: EventContext, entry: Entry, body: DiscsReturned) -> Iterator[Event]:
    lot = body.lot
    name = ledger.names.address("matrix", body.matrix) if lot is None else ledger.names.discs(lot)
    yield seen(ledger, entry, "receiving", "returned", quantityList=[quantity(name, body.discs)])


def _came_back(ledger: EventContext, entry: Entry, body: DiscsCameBack) -> Iterator[Event]:
    name = ledger.names.address("matrix", body.matrix) if body.lot is None else ledger.names.discs(body.lot)
    made = seen(ledger, entry, "receiving", "returned", quantityList=[quantity(name, body.discs)])
    yield {**made, "plant:couldBeOf": list(body.candidates)} if body.lot is None else made


def _on_spindle(ledger: EventContext, entry: Entry, body: DiscsRestocked | RejectUndone) -> Iterator[Event]:
    """Discs on a spindle again, after a return or a reject taken back."""
    moved = body.moved
    yield event(
        ledger,
        entry,
        "AggregationEvent",
        action="ADD",
        parentID=ledger.names.thing(moved.target),
        childQuantityList=discs_of(ledger, [moved]),
        bizStep="stocking",
        disposition="in_progress",
    )


def _numbers(step: str, disposition: str, action: str = "OBSERVE") -> Maker:
    def make(
        ledger: EventContext, entry: Entry, body: NumberCameBack | NumbersRestocked | NumbersDestroyed
    ) -> Iterator[Event]:
        numbers = (body.serial,) if isinstance(body, NumberCameBack) else body.serials
        if epcs := [ledger.names.unit(body.gtin, number) for number in dict.fromkeys(numbers)]:
            yield seen(ledger, entry, step, disposition, action=action, epcList=epcs)

    return make


def _restocked(ledger: EventContext, entry: Entry, body: CartonRestocked) -> Iterator[Event]:
    yield seen(ledger, entry, "stocking", "sellable_accessible", epcList=[ledger.names.thing(body.carton)])


def _destroyed(ledger: EventContext, entry: Entry, body: Destroyed) -> Iterator[Event]:
    discs = discs_of(ledger, body.moves)
    epcs = None if body.carton is None else [ledger.names.thing(body.carton)]
    if discs or epcs:
        yield seen(
            ledger,
            entry,
            "destroying",
            "destroyed",
            action="DELETE",
            epcList=epcs,
            quantityList=discs or None,
        )


MAKERS: Mapping[type[EntryBody], Maker] = {
    CartonReturned: _returned,
    PalletCameBack: _returned,
    UnitCameBack: _unit_back,
    DiscsReturned: _discs_returned,
    DiscsCameBack: _came_back,
    DiscsRestocked: _on_spindle,
    RejectUndone: _on_spindle,
    NumberCameBack: _numbers("receiving", "returned"),
    NumbersRestocked: _numbers("stocking", "sellable_accessible"),
    NumbersDestroyed: _numbers("destroying", "destroyed", "DELETE"),
    CartonRestocked: _restocked,
    Destroyed: _destroyed,
}
"""Kind of entry -> the events it gives."""
