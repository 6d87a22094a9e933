"""EPCIS events of the assembly hall: parts that come in, boards made from reels, what is in a unit, and its tests.

A part lot, the parts on a reel and the unlabelled pieces of a build order are classes; a piece with a serial label is one
thing. A board takes parts and is something else afterwards: a transformation. What is joined into a unit stays what it is
and can be taken out again: an association.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from tracelink.ledger.kinds.assembly.part_entries import (
    PartLotReceived,
    PartLotTested,
    ReelCounted,
    ReelFilled,
)
from tracelink.ledger.kinds.assembly.placing_entries import PartsPlaced
from tracelink.ledger.kinds.assembly.unit_entries import (
    BuiltPiece,
    PartsJoined,
    PartTakenOut,
    PieceTested,
    UnitsPacked,
)
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.parts.part_sets import TakenOutTo
from tracelink.report.epcis.event import Entry, Event, EventContext, associated, event, quantity, seen
from tracelink.report.epcis.making import Maker


def _received(ledger: EventContext, entry: Entry, body: PartLotReceived) -> Iterator[Event]:
    lot = [quantity(ledger.names.thing(body.part_lot), body.quantity)]
    yield {
        **seen(ledger, entry, "receiving", "in_progress", quantityList=lot),
        "plant:part": body.part,
        "plant:revision": body.revision,
        "plant:supplierLot": body.supplier_lot,
        "plant:dateCode": body.date_code,
    }


def _tested(ledger: EventContext, entry: Entry, body: PartLotTested) -> Iterator[Event]:
    name = ledger.names.thing(body.part_lot)
    found = "conformant" if body.accepted else "non_conformant"
    yield {
        **seen(ledger, entry, "inspecting", found, quantityList=[quantity(name, None)]),
        "plant:tested": body.tested,
        "plant:failed": body.failed,
    }
    if body.failed:
        yield _destroyed(ledger, entry, "failed", quantityList=[quantity(name, body.failed)])


def _destroyed(ledger: EventContext, entry: Entry, part: str, **what: Any) -> Event:
    return seen(ledger, entry, "destroying", "destroyed", part=part, action="DELETE", **what)


def _filled(ledger: EventContext, entry: Entry, body: ReelFilled) -> Iterator[Event]:
    parts = body.last - body.first + 1
    names = ledger.names
    yield event(
        ledger,
        entry,
        "TransformationEvent",
        transformationID=names.address("taped", f"{body.reel}-{body.first}"),
        inputQuantityList=[quantity(names.thing(body.part_lot), parts)],
        outputQuantityList=[quantity(names.thing(body.reel), parts)],
        bizStep="creating_class_instance",
        disposition="in_progress",
        ilmd={
            "cbvmda:lotNumber": body.reel,
            "plant:firstPosition": body.first,
            "plant:lastPosition": body.last,
            "plant:inOrder": body.in_order,
        },
    )


def _counted(ledger: EventContext, entry: Entry, body: ReelCounted) -> Iterator[Event]:
    found = None if body.shown == body.counted else "mismatch_quantity"
    left = [quantity(ledger.names.thing(body.reel), body.counted)]
    yield seen(ledger, entry, "stock_taking", found, quantityList=left)


def _placed(ledger: EventContext, entry: Entry, body: PartsPlaced) -> Iterator[Event]:
    names = ledger.names
    taken = [quantity(names.thing(item.reel), item.quantity) for item in body.items if item.quantity]
    pieces = body.last - body.first + 1
    if taken and pieces > 0:
        yield event(
            ledger,
            entry,
            "TransformationEvent",
            # Each count its own: every part of events that share one may have gone into every board of all of them.
            transformationID=names.address("placed", f"{body.build}-{body.first}"),
            inputQuantityList=taken,
            outputQuantityList=[quantity(names.thing(body.build), pieces)],
            bizStep="creating_class_instance",
            disposition="in_progress",
            ilmd={
                "cbvmda:lotNumber": body.build,
                "plant:firstPiece": body.first,
                "plant:lastPiece": body.last,
            },
        )
    dropped = [quantity(names.thing(item.reel), item.dropped) for item in body.items if item.dropped]
    if dropped:
        yield _destroyed(ledger, entry, "dropped", quantityList=dropped)


def _begun(ledger: EventContext, entry: Entry, pieces: Iterable[BuiltPiece]) -> Iterator[Event]:
    """Pieces that are handled by their own labels for the first time: from a class they become single things."""
    for piece in pieces:
        if piece.is_new and piece.piece in ledger.things:
            yield seen(
                ledger,
                entry,
                "commissioning",
                "active",
                part=f"label {piece.piece}",
                action="ADD",
                epcList=[ledger.names.thing(piece.piece)],
                ilmd={"cbvmda:lotNumber": piece.build, "plant:number": piece.number},
            )


def _joined(ledger: EventContext, entry: Entry, body: PartsJoined) -> Iterator[Event]:
    inside = [item.piece for item in body.items if item.piece is not None]
    yield from _begun(ledger, entry, [body.unit, *inside])
    names = ledger.names
    epcs = [names.thing(piece.piece) for piece in inside]
    parts = [quantity(names.thing(item.reel), item.quantity) for item in body.items if item.reel is not None]
    children = {name: found for name, found in (("childEPCs", epcs), ("childQuantityList", parts)) if found}
    if children:
        unit = names.thing(body.unit.piece)
        yield associated(ledger, entry, "joined", unit, children, joins=True, step="assembling")


def _piece_tested(ledger: EventContext, entry: Entry, body: PieceTested) -> Iterator[Event]:
    yield from _begun(ledger, entry, [body.piece])
    found = "conformant" if body.passed else "non_conformant"
    made = seen(ledger, entry, "inspecting", found, epcList=[ledger.names.thing(body.piece.piece)])
    made["plant:programme"] = body.programme
    if body.symptom is not None:
        made["plant:symptom"] = body.symptom
    if body.position is not None:
        made["plant:position"] = body.position
    yield made


def _taken_out(ledger: EventContext, entry: Entry, body: PartTakenOut) -> Iterator[Event]:
    names = ledger.names
    if body.piece is not None:
        inside: dict[str, Any] = {"childEPCs": [names.thing(body.piece)]}
        gone: dict[str, Any] = {"epcList": [names.thing(body.piece)]}
    else:
        part = [quantity(names.thing(body.reel or ""), 1)]
        inside, gone = {"childQuantityList": part}, {"quantityList": part}
    unit = names.thing(body.unit)
    yield associated(ledger, entry, "taken out", unit, inside, joins=False, step="removing")
    if body.to == TakenOutTo.SCRAP:
        yield _destroyed(ledger, entry, "gone", **gone)
    else:
        yield {
            **seen(ledger, entry, "holding", "non_sellable_other", part="kept", **gone),
            "plant:to": body.to,
        }


def _packed(ledger: EventContext, entry: Entry, body: UnitsPacked) -> Iterator[Event]:
    yield from _begun(ledger, entry, body.units)
    carton = ledger.names.thing(body.carton)
    yield seen(ledger, entry, "commissioning", "active", part="carton", action="ADD", epcList=[carton])
    units = [ledger.names.thing(code) for code in ledger.wanted(unit.piece for unit in body.units)]
    if units:
        yield event(
            ledger,
            entry,
            "AggregationEvent",
            "packed",
            action="ADD",
            parentID=carton,
            childEPCs=units,
            bizStep="packing",
            disposition="container_closed",
        )


MAKERS: Mapping[type[EntryBody], Maker] = {
    PartLotReceived: _received,
    PartLotTested: _tested,
    ReelFilled: _filled,
    ReelCounted: _counted,
    PartsPlaced: _placed,
    PartsJoined: _joined,
    PieceTested: _piece_tested,
    PartTakenOut: _taken_out,
    UnitsPacked: _packed,
}
"""Kind of entry -> the events it gives."""
