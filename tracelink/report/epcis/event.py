"""The frame of an EPCIS event made from an entry: number, times, place; and the small parts events share."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from tracelink.ledger.kinds.base import Moved
from tracelink.report.epcis.names import Names

Event = dict[str, Any]
Entry = Mapping[str, Any]
"""A canonical entry, parsed."""


_UNITS = {"g": ("Mass", "GRM"), "kg": ("Mass", "KGM"), "mm": ("Length", "MMT"), "°C": ("Temperature", "CEL")}
"""Unit as the lab writes it -> EPCIS measurement and UN/CEFACT code."""


@dataclass(frozen=True, slots=True)
class EventContext:
    """What every event needs to know besides its entry."""

    names: Names
    first_hash: str
    """Hash of the first entry: it tells ledgers apart, so that no two make the same event number."""
    things: frozenset[str]
    """The codes that the document is about; an entry may name others as well, which are left out."""
    shipments: Mapping[str, tuple[str, str]]
    """Shipment -> its order and consignee."""
    plant: str
    """The plant's name."""

    def event_id(self, seq: int, part: str) -> str:
        """Return the number of an event: the same entry gives the same number in every export.

        Source: RFC 9562 section 5.5 (UUID version 5, from a name).
        """
        return f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_URL, f'{self.names.namespace}{self.first_hash}/{seq}/{part}')}"

    def wanted(self, codes: Iterable[str]) -> list[str]:
        """Return those of some codes that the document is about, each once."""
        return [code for code in dict.fromkeys(codes) if code in self.things]


def event(ledger: EventContext, entry: Entry, kind: str, part: str = "", **fields: Any) -> Event:
    """Return an event of an entry.

    Args:
        ledger: see there.
        entry: the entry; its times, station and number are taken.
        kind: such as "ObjectEvent".
        part: tells several events of one entry apart.
        fields: the rest; None is left out.
    """
    made: Event = {
        "type": kind,
        "eventID": ledger.event_id(entry["seq"], part),
        "eventTime": entry["event_time"],
        "recordTime": entry["recorded_at"],
        "eventTimeZoneOffset": entry["event_time"][-6:],
        **{name: value for name, value in fields.items() if value is not None},
    }
    if entry["station"] is not None:
        made["readPoint"] = {"id": ledger.names.thing(entry["station"])}
    made["plant:entry"] = entry["seq"]
    if entry["reason"] is not None:
        made["plant:reason"] = entry["reason"]
    return made


def seen(ledger: EventContext, entry: Entry, step: str, disposition: str | None, **fields: Any) -> Event:
    """Return an object event with action OBSERVE unless told otherwise."""
    return event(
        ledger,
        entry,
        "ObjectEvent",
        **{"action": "OBSERVE", "bizStep": step, "disposition": disposition, **fields},
    )


def associated(  # noqa: PLR0913 - the event, what is joined, and how
    ledger: EventContext,
    entry: Entry,
    part: str,
    whole: str,
    children: Mapping[str, Any],
    *,
    joins: bool,
    step: str,
) -> Event:
    """Return the event that parts are joined to a whole or taken out of it: tools on a press, discs in a unit.

    Args:
        ledger: names of things.
        entry: the entry.
        part: which event of the entry, so that each has a number of its own.
        whole: name of what holds them.
        children: `childEPCs` with names of single things, `childQuantityList` with quantities of classes, or both.
        joins: True if they come to it, False if they leave it.
        step: what was done, such as assembling; a word of the vocabulary.
    """
    action = "ADD" if joins else "DELETE"
    return event(
        ledger, entry, "AssociationEvent", part, action=action, parentID=whole, **children, bizStep=step
    )


def quantity(name: str, count: int | None) -> dict[str, Any]:
    """Return so many of a class; None when nobody recorded how many. Counted things have no unit."""
    return {"epcClass": name} if count is None else {"epcClass": name, "quantity": count}


def discs_of(ledger: EventContext, moves: Iterable[Moved]) -> list[dict[str, Any]]:
    """Return the discs of movements, added up by lot."""
    sums: dict[str, int] = {}
    for move in moves:
        sums[move.lot] = sums.get(move.lot, 0) + move.quantity
    return [quantity(ledger.names.discs(lot), count) for lot, count in sorted(sums.items())]


def sensor_report(characteristic: str, value: str, unit: str) -> dict[str, Any]:
    """Return what was measured: in a measurement of the standard where the unit has one, else as the plant's own words."""
    report: dict[str, Any]
    try:
        kind, code = _UNITS[unit]
        report = {"type": kind, "value": float(value), "uom": code}
    except (KeyError, ValueError):
        report = {"type": "plant:measurement", "stringValue": f"{value} {unit}"}
    report["plant:characteristic"] = characteristic
    return report
