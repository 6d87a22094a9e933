"""EPCIS events of the packing line, the warehouse and the dock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tracelink.report.epcis.event import Entry, Event, EventContext, discs_of, event, quantity, seen
from tracelink.report.epcis.making import Maker


def _made(what: str) -> Maker:
    """A carton or pallet that came to be with its label."""

    def make(ledger: EventContext, entry: Entry) -> Iterator[Event]:
        epcs = [ledger.names.thing(entry["body"][what])]
        yield seen(ledger, entry, "commissioning", "active", action="ADD", epcList=epcs)

    return make


def _looked(what: str, step: str, disposition: str) -> Maker:
    """Something happened to a carton or pallet as a whole."""

    def make(ledger: EventContext, entry: Entry) -> Iterator[Event]:
        yield seen(ledger, entry, step, disposition, epcList=[ledger.names.thing(entry["body"][what])])

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


def _sleeved(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body, names = entry["body"], ledger.names
    sleeves = [quantity(names.thing(body["batch"]), body["units"])] if body["units"] else []
    numbered = {"eventTime": body["last_at"], "eventTimeZoneOffset": body["last_at"][-6:]}
    units = [names.unit(body["gtin"], number) for number in body["numbers"]]
    if units:
        yield {
            **seen(ledger, entry, "commissioning", "active", part="numbers", action="ADD", epcList=units),
            **numbered,
        }
        for place, unit in enumerate(units):
            yield {
                **event(
                    ledger,
                    entry,
                    "AssociationEvent",
                    f"unit {place}",
                    action="ADD",
                    parentID=unit,
                    childQuantityList=[
                        *(quantity(names.discs(move["lot"]), None) for move in body["moves"]),
                        quantity(names.thing(body["batch"]), 1),
                    ],
                    bizStep="assembling",
                ),
                **numbered,
            }
    discs = discs_of(ledger, body["moves"])
    if units or discs or sleeves:
        children = {"childEPCs": units} if units else {"childQuantityList": [*discs, *sleeves]}
        yield {**_aggregation(ledger, entry, "ADD", body["carton"], **children), **numbered}


def _undone(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body = entry["body"]
    if discs := discs_of(ledger, body["moves"]):
        yield _aggregation(ledger, entry, "DELETE", body["carton"], childQuantityList=discs)


def _taken_out(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    yield from _undone(ledger, entry)
    if discs := discs_of(ledger, entry["body"]["moves"]):
        yield seen(ledger, entry, "destroying", "destroyed", part="gone", action="DELETE", quantityList=discs)


def _stopped(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    for place, move in enumerate(entry["body"]["moves"]):
        yield _aggregation(
            ledger, entry, "DELETE", move["source"], f"{place}", childQuantityList=discs_of(ledger, [move])
        )


def _merged(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body = entry["body"]
    if discs := discs_of(ledger, body["moves"]):
        yield _aggregation(ledger, entry, "DELETE", body["source"], "out", childQuantityList=discs)
        yield _aggregation(ledger, entry, "ADD", body["carton"], "in", childQuantityList=discs)


def _palletised(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body = entry["body"]
    yield _aggregation(ledger, entry, "ADD", body["pallet"], childEPCs=[ledger.names.thing(body["carton"])])


def _unstacked(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    left = entry["body"]["left"]
    yield _aggregation(ledger, entry, "DELETE", left["parent"], childEPCs=[ledger.names.thing(left["child"])])


def _broken(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body = entry["body"]
    yield seen(ledger, entry, "inspecting", "damaged", epcList=[ledger.names.thing(body["carton"])])


def _checked(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body = entry["body"]
    found = "completeness_verified" if body["recorded"] == body["counted"] else "mismatch_quantity"
    yield seen(ledger, entry, "inspecting", found, epcList=[ledger.names.thing(body["carton"])])


def _put(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body = entry["body"]
    place = {"id": ledger.names.address("location", body["location"])}
    yield seen(
        ledger,
        entry,
        "storing",
        "in_progress",
        epcList=[ledger.names.thing(body["thing"])],
        bizLocation=place,
    )


def _left(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    yield seen(
        ledger, entry, "picking", "in_progress", epcList=[ledger.names.thing(entry["body"]["left"]["child"])]
    )


def _loaded(what: str) -> Maker:
    def make(ledger: EventContext, entry: Entry) -> Iterator[Event]:
        body = entry["body"]
        yield seen(
            ledger,
            entry,
            "loading",
            "in_progress",
            epcList=[ledger.names.thing(body[what])],
            bizTransactionList=_papers(ledger, body["shipment"]),
        )

    return make


def _unloaded(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    yield seen(
        ledger,
        entry,
        "unloading",
        "in_progress",
        epcList=[ledger.names.thing(entry["body"]["left"]["child"])],
    )


def _papers(ledger: EventContext, shipment: str) -> list[dict[str, str]]:
    order, _ = ledger.shipments.get(shipment, ("", ""))
    papers = [{"type": "desadv", "bizTransaction": ledger.names.thing(shipment)}]
    return (
        [{"type": "po", "bizTransaction": ledger.names.address("order", order)}, *papers] if order else papers
    )


def shipped(ledger: EventContext, entry: Entry, cartons: list[str]) -> Iterator[Event]:
    """Yield the event of a vehicle that left, with the pallets and loose cartons of this document on it."""
    body = entry["body"]
    epcs = [ledger.names.thing(code) for code in ledger.wanted([*body["pallets"], *cartons])]
    if not epcs:
        return
    _, consignee = ledger.shipments.get(body["shipment"], ("", ""))
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
        bizTransactionList=_papers(ledger, body["shipment"]),
        **parties,
    )


def _returned(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    yield seen(
        ledger, entry, "receiving", "returned", epcList=[ledger.names.thing(entry["body"]["left"]["child"])]
    )


def _discs_returned(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body = entry["body"]
    lot = body["lot"]
    name = ledger.names.address("matrix", body["matrix"]) if lot is None else ledger.names.discs(lot)
    yield seen(ledger, entry, "receiving", "returned", quantityList=[quantity(name, body["discs"])])


def _came_back(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body = entry["body"]
    name = (
        ledger.names.address("matrix", body["matrix"])
        if body["lot"] is None
        else ledger.names.discs(body["lot"])
    )
    made = seen(ledger, entry, "receiving", "returned", quantityList=[quantity(name, body["discs"])])
    yield {**made, "plant:couldBeOf": body["candidates"]} if body["lot"] is None else made


def _on_spindle(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    """Discs on a spindle again, after a return or a reject taken back."""
    moved = entry["body"]["moved"]
    yield event(
        ledger,
        entry,
        "AggregationEvent",
        action="ADD",
        parentID=ledger.names.thing(moved["target"]),
        childQuantityList=discs_of(ledger, [moved]),
        bizStep="stocking",
        disposition="in_progress",
    )


def _numbers(step: str, disposition: str, action: str = "OBSERVE") -> Maker:
    def make(ledger: EventContext, entry: Entry) -> Iterator[Event]:
        body = entry["body"]
        numbers = [body["serial"]] if "serial" in body else body["serials"]
        if epcs := [ledger.names.unit(body["gtin"], number) for number in dict.fromkeys(numbers)]:
            yield seen(ledger, entry, step, disposition, action=action, epcList=epcs)

    return make


def _destroyed(ledger: EventContext, entry: Entry) -> Iterator[Event]:
    body = entry["body"]
    discs = discs_of(ledger, body["moves"])
    epcs = None if body["carton"] is None else [ledger.names.thing(body["carton"])]
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


MAKERS: Mapping[str, Maker] = {
    "carton-opened": _made("carton"),
    "pallet-opened": _made("pallet"),
    "discs-sleeved": _sleeved,
    "carton-closed": _looked("carton", "packing", "container_closed"),
    "carton-reopened": _looked("carton", "unpacking", "container_open"),
    "match-undone": _undone,
    "unit-taken-out": _taken_out,
    "line-stopped": _stopped,
    "cartons-merged": _merged,
    "carton-palletised": _palletised,
    "carton-unstacked": _unstacked,
    "pallet-closed": _looked("pallet", "packing", "container_closed"),
    "pallet-reopened": _looked("pallet", "unpacking", "container_open"),
    "pallet-accepted": _looked("pallet", "accepting", "sellable_accessible"),
    "carton-broken": _broken,
    "carton-repacked": _looked("carton", "repackaging", "container_closed"),
    "carton-open-checked": _checked,
    "put-away": _put,
    "place-left": _left,
    "pallet-loaded": _loaded("pallet"),
    "carton-picked": _loaded("carton"),
    "unloaded": _unloaded,
    "carton-returned": _returned,
    "discs-returned": _discs_returned,
    "discs-came-back": _came_back,
    "discs-restocked": _on_spindle,
    "reject-undone": _on_spindle,
    "number-came-back": _numbers("receiving", "returned"),
    "numbers-restocked": _numbers("stocking", "sellable_accessible"),
    "numbers-destroyed": _numbers("destroying", "destroyed", "DELETE"),
    "carton-restocked": _looked("carton", "stocking", "sellable_accessible"),
    "discs-destroyed": _destroyed,
}
"""Kind of entry -> the events it gives; departures come from `epcis_export`, which knows what was loaded."""
