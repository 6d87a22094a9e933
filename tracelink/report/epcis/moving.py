"""EPCIS events of the packing line, the warehouse and the dock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tracelink.balance.lot_records import PlaceKind, kind_of
from tracelink.ledger.kinds.balance import CountConfirmed, NumbersLost
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.dock import (
    CartonPalletised,
    LoadCorrected,
    PalletAccepted,
    PalletClosed,
    PalletCounted,
    PalletLoaded,
    PalletOpened,
    ShipmentDeparted,
)
from tracelink.ledger.kinds.lab import SampleTaken
from tracelink.ledger.kinds.line import CartonClosed, CartonOpened, DiscsSleeved, LineStopped
from tracelink.ledger.kinds.packing_changes import (
    CartonReopened,
    CartonsMerged,
    MatchUndone,
    UnitTakenOut,
)
from tracelink.ledger.kinds.warehouse import (
    CartonBroken,
    CartonOpenChecked,
    CartonPicked,
    CartonRepacked,
    CartonUnstacked,
    PalletReopened,
    PlaceLeft,
    PutAway,
    Unloaded,
)
from tracelink.report.epcis.event import (
    Entry,
    Event,
    EventContext,
    associated,
    discs_of,
    event,
    quantity,
    seen,
)
from tracelink.report.epcis.making import Maker, sampled

_Carton = CartonOpened | CartonClosed | CartonReopened | CartonRepacked | CartonPicked | CountConfirmed
_Pallet = PalletOpened | PalletClosed | PalletReopened | PalletAccepted | PalletLoaded


def _unit(body: _Carton | _Pallet) -> str:
    """Return the SSCC of the carton or pallet that something happened to as a whole."""
    return body.pallet if isinstance(body, _Pallet) else body.carton


def _opened(ledger: EventContext, entry: Entry, body: CartonOpened | PalletOpened) -> Iterator[Event]:
    """A carton or pallet that came to be with its label."""
    epcs = [ledger.names.thing(_unit(body))]
    yield seen(ledger, entry, "commissioning", "active", action="ADD", epcList=epcs)


def _looked(step: str, disposition: str) -> Maker:
    """Something happened to a carton or pallet as a whole."""

    def make(ledger: EventContext, entry: Entry, body: _Carton | _Pallet) -> Iterator[Event]:
        yield seen(ledger, entry, step, disposition, epcList=[ledger.names.thing(_unit(body))])

    return make


def _aggregation(
    ledger: EventContext, entry: Entry, action: str, parent: str, part: str = "", **children: Any
) -> Event:
    return event(
        ledger,
        entry,
        "AggregationEvent",
        part,
        action=action,
        parentID=ledger.names.thing(parent),
        bizStep="packing" if action == "ADD" else "unpacking",
        disposition="in_progress",
        **children,
    )


def _sleeved(ledger: EventContext, entry: Entry, body: DiscsSleeved) -> Iterator[Event]:
    names = ledger.names
    sleeves = [quantity(names.thing(body.batch), body.units)] if body.units else []
    numbered = {"eventTime": body.last_at, "eventTimeZoneOffset": body.last_at[-6:]}
    units = [names.unit(body.gtin, number) for number in body.numbers]
    if units:
        yield {
            **seen(ledger, entry, "commissioning", "active", part="numbers", action="ADD", epcList=units),
            **numbered,
        }
        discs_in = [quantity(names.discs(move.lot), None) for move in body.moves]
        parts = {"childQuantityList": [*discs_in, quantity(names.thing(body.batch), 1)]}
        for place, unit in enumerate(units):
            part = f"unit {place}"
            yield {
                **associated(ledger, entry, part, unit, parts, joins=True, step="assembling"),
                **numbered,
            }
    discs = discs_of(ledger, body.moves)
    if units or discs or sleeves:
        children = {"childEPCs": units} if units else {"childQuantityList": [*discs, *sleeves]}
        yield {**_aggregation(ledger, entry, "ADD", body.carton, **children), **numbered}


def _undone(ledger: EventContext, entry: Entry, body: MatchUndone | UnitTakenOut) -> Iterator[Event]:
    if discs := discs_of(ledger, body.moves):
        yield _aggregation(ledger, entry, "DELETE", body.carton, childQuantityList=discs)


def _taken_out(ledger: EventContext, entry: Entry, body: UnitTakenOut) -> Iterator[Event]:
    yield from _undone(ledger, entry, body)
    scrapped = [move for move in body.moves if kind_of(move.target) is not PlaceKind.SPINDLE]
    if discs := discs_of(ledger, scrapped):
        yield seen(ledger, entry, "destroying", "destroyed", part="gone", action="DELETE", quantityList=discs)


def _sample_taken(ledger: EventContext, entry: Entry, body: SampleTaken) -> Iterator[Event]:
    yield from sampled(ledger, entry, body)
    source = body.moved.source if body.unit is None else body.unit.carton
    if kind_of(source) is PlaceKind.CARTON:
        discs = discs_of(ledger, [body.moved])
        yield _aggregation(ledger, entry, "DELETE", source, "out", childQuantityList=discs)


def _stopped(ledger: EventContext, entry: Entry, body: LineStopped) -> Iterator[Event]:
    for place, move in enumerate(body.moves):
        yield _aggregation(
            ledger, entry, "DELETE", move.source, f"{place}", childQuantityList=discs_of(ledger, [move])
        )


def _merged(ledger: EventContext, entry: Entry, body: CartonsMerged) -> Iterator[Event]:
    if discs := discs_of(ledger, body.moves):
        yield _aggregation(ledger, entry, "DELETE", body.source, "out", childQuantityList=discs)
        yield _aggregation(ledger, entry, "ADD", body.carton, "in", childQuantityList=discs)


def _numbers_lost(ledger: EventContext, entry: Entry, body: NumbersLost) -> Iterator[Event]:
    """The numbered units that are in their carton no more."""
    units = [ledger.names.unit(body.gtin, number) for number in body.serials]
    yield {
        **_aggregation(ledger, entry, "DELETE", body.carton, childEPCs=units),
        "bizStep": "cycle_counting",
        "disposition": "mismatch_instance",
    }


def _palletised(ledger: EventContext, entry: Entry, body: CartonPalletised) -> Iterator[Event]:
    yield _aggregation(ledger, entry, "ADD", body.pallet, childEPCs=[ledger.names.thing(body.carton)])


def _unstacked(ledger: EventContext, entry: Entry, body: CartonUnstacked) -> Iterator[Event]:
    left = body.left
    yield _aggregation(ledger, entry, "DELETE", left.parent, childEPCs=[ledger.names.thing(left.child)])


def _broken(ledger: EventContext, entry: Entry, body: CartonBroken) -> Iterator[Event]:
    yield seen(ledger, entry, "inspecting", "damaged", epcList=[ledger.names.thing(body.carton)])


def _checked(ledger: EventContext, entry: Entry, body: CartonOpenChecked) -> Iterator[Event]:
    found = "completeness_verified" if body.recorded == body.counted else "mismatch_quantity"
    yield seen(ledger, entry, "inspecting", found, epcList=[ledger.names.thing(body.carton)])


def _put(ledger: EventContext, entry: Entry, body: PutAway) -> Iterator[Event]:
    place = {"id": ledger.names.address("location", body.location)}
    yield seen(
        ledger,
        entry,
        "storing",
        "in_progress",
        epcList=[ledger.names.thing(body.thing)],
        bizLocation=place,
    )


def _left(ledger: EventContext, entry: Entry, body: PlaceLeft) -> Iterator[Event]:
    yield seen(ledger, entry, "picking", "in_progress", epcList=[ledger.names.thing(body.left.child)])


def _loaded(ledger: EventContext, entry: Entry, body: PalletLoaded | CartonPicked) -> Iterator[Event]:
    yield seen(
        ledger,
        entry,
        "loading",
        "in_progress",
        epcList=[ledger.names.thing(_unit(body))],
        bizTransactionList=_papers(ledger, body.shipment),
    )


def _unloaded(ledger: EventContext, entry: Entry, body: Unloaded) -> Iterator[Event]:
    yield seen(
        ledger,
        entry,
        "unloading",
        "in_progress",
        epcList=[ledger.names.thing(body.left.child)],
    )


def _pallet_counted(ledger: EventContext, entry: Entry, body: PalletCounted) -> Iterator[Event]:
    found = "completeness_verified" if body.recorded == body.counted else "mismatch_quantity"
    yield seen(ledger, entry, "cycle_counting", found, epcList=[ledger.names.thing(body.pallet)])


def _corrected(ledger: EventContext, entry: Entry, body: LoadCorrected) -> Iterator[Event]:
    """What stayed was unloaded before the vehicle left; what went was shipped with it."""
    step, disposition = ("shipping", "in_transit") if body.went else ("unloading", "in_progress")
    yield seen(
        ledger,
        entry,
        step,
        disposition,
        epcList=[ledger.names.thing(body.thing)],
        bizTransactionList=_papers(ledger, body.shipment),
    )


def _papers(ledger: EventContext, shipment: str) -> list[dict[str, str]]:
    order, _ = ledger.shipments.get(shipment, ("", ""))
    papers = [{"type": "desadv", "bizTransaction": ledger.names.thing(shipment)}]
    return (
        [{"type": "po", "bizTransaction": ledger.names.address("order", order)}, *papers] if order else papers
    )


def shipped(
    ledger: EventContext, entry: Entry, body: ShipmentDeparted, cartons: list[str]
) -> Iterator[Event]:
    """Yield the event of a vehicle that left, with the pallets and loose cartons of this document on it."""
    epcs = [ledger.names.thing(code) for code in ledger.wanted([*body.pallets, *cartons])]
    if not epcs:
        return
    _, consignee = ledger.shipments.get(body.shipment, ("", ""))
    parties = {
        "sourceList": [{"type": "owning_party", "source": ledger.names.address("party", ledger.plant)}]
    }
    if consignee:
        to = ledger.names.address("party", consignee)
        parties["destinationList"] = [{"type": "owning_party", "destination": to}]
    yield seen(
        ledger,
        entry,
        "shipping",
        "in_transit",
        epcList=epcs,
        bizTransactionList=_papers(ledger, body.shipment),
        **parties,
    )


MAKERS: Mapping[type[EntryBody], Maker] = {
    CartonOpened: _opened,
    PalletOpened: _opened,
    DiscsSleeved: _sleeved,
    CartonClosed: _looked("packing", "container_closed"),
    CartonReopened: _looked("unpacking", "container_open"),
    MatchUndone: _undone,
    UnitTakenOut: _taken_out,
    SampleTaken: _sample_taken,
    LineStopped: _stopped,
    CartonsMerged: _merged,
    CartonPalletised: _palletised,
    CartonUnstacked: _unstacked,
    PalletClosed: _looked("packing", "container_closed"),
    PalletReopened: _looked("unpacking", "container_open"),
    PalletAccepted: _looked("accepting", "sellable_accessible"),
    CartonBroken: _broken,
    CartonRepacked: _looked("repackaging", "container_closed"),
    NumbersLost: _numbers_lost,
    CountConfirmed: _looked("cycle_counting", "mismatch_quantity"),
    CartonOpenChecked: _checked,
    PutAway: _put,
    PlaceLeft: _left,
    PalletLoaded: _loaded,
    CartonPicked: _loaded,
    Unloaded: _unloaded,
    LoadCorrected: _corrected,
    PalletCounted: _pallet_counted,
}
"""Kind of entry -> the events it gives; departures come from `export.py`, which knows what was loaded."""
