"""The acts of a lot as an EPCIS 2.0 document in JSON-LD, made from journal entries.

Which event stands for which act follows the standard's vocabulary (CBV 2.0); where it has no word for what a plant of
this trade does, the nearest one is taken and the plant's own word stands beside it under its own prefix. Every event
names the entry it was made from, and its number is made from that entry, so that two exports agree.

A correction gives the corrected event once more, the same but for its errorDeclaration, and then the new one. Entries
that only say who stood where (a sign-on, a line clearance, a no-read, an order, an allocation) give no event.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from tracelink.report.epcis import making, moving
from tracelink.report.epcis.event import Entry, Event, EventContext

CONTEXT = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"

NO_EVENT: Mapping[str, str] = {
    **dict.fromkeys(
        ("plant-named", "person-enrolled", "station-placed", "product-defined", "kit-defined", "item-made",
         "location-named", "clearance-listed", "sscc-issued", "sscc-returned", "numbers-issued", "labels-counted",
         "label-voided", "lot-planned", "order-taken", "domain-named"),
        "says what something is or how many labels there are; nothing happened to a thing",
    ),
    **dict.fromkeys(
        ("case-opened", "case-scoped", "case-held", "case-notified", "case-replied", "case-checks-chosen",
         "case-checked", "case-estimated", "case-closed", "drill-held", "order-lines-taken"),
        "a decision or a paper; the holds of a case have events of their own",
    ),
    "mixed-counted": "discs of several lots counted together: of which lot one is missing is not known",
    **dict.fromkeys(("partner-document", "partner-event"), "the event is its sender's, who hands it out"),
    **dict.fromkeys(
        ("signed-on", "hopper-emptied", "pin-set", "pin-asked", "pin-given", "badge-refused", "badge-put-away", "badge-turned-away", "line-cleared", "sleeves-opened", "spindle-opened", "line-checked", "shift-handed-over",
         "scan-refused", "no-read", "manual-entry", "items-inserted", "hold-back-opened", "units-rechecked",
         "hold-back-closed", "driver-checked", "load-agreed", "shipment-opened", "shipment-reordered",
         "allocation-made", "allocation-released", "investigation-opened", "investigation-closed"),
        "a check, a paper or a preparation; the event is that of the act it belongs to",
    ),
}  # fmt: skip
"""Kind of entry -> why it gives no event."""

SPECIAL = (
    "run-changed",
    "press-stopped",
    "hold-placed",
    "hold-lifted",
    "shipment-departed",
    "carton-unopened",
)
"""Kinds that need what other entries said, handled here."""


def epcis_document(entries: Iterable[Entry], ledger: EventContext, created: str) -> dict[str, Any]:
    """Return the document.

    Args:
        entries: canonical entries, parsed, in the order of the journal.
        ledger: names and what the document is about.
        created: when the last entry of the ledger was recorded, UTC; no clock is asked.
    """
    return {
        "@context": [CONTEXT, {"plant": ledger.names.namespace}],
        "type": "EPCISDocument",
        "schemaVersion": "2.0",
        "creationDate": created,
        "epcisBody": {"eventList": list(_Events(ledger).of(entries))},
    }


class _Events:
    """Goes through the entries once and remembers what later ones need."""

    def __init__(self, ledger: EventContext) -> None:
        self._ledger = ledger
        self._runs = making.Runs()
        self._of_entry: dict[int, list[Event]] = {}
        self._opened: dict[str, int] = {}
        self._holds: dict[str, list[str]] = {}
        self._picked: dict[str, list[str]] = {}

    def of(self, entries: Iterable[Entry]) -> Iterator[Event]:
        """Yield all events."""
        for entry in entries:
            made = [*self._special(entry), *self._made(entry), *self._runs.see(self._ledger, entry)]
            self._of_entry[entry["seq"]] = made
            if entry["corrects"] is not None:
                yield from self._wrong(entry, entry["corrects"], made, "incorrect_data")
            if entry["kind"] == "carton-unopened":
                # The label was scanned by mistake: no carton came to be.
                yield from self._wrong(entry, self._opened.get(entry["body"]["carton"]), [], "did_not_occur")
            yield from made
        yield from self._runs.unfinished(self._ledger)

    def _made(self, entry: Entry) -> Iterator[Event]:
        for makers in (making.MAKERS, moving.MAKERS):
            if entry["kind"] in makers:
                yield from makers[entry["kind"]](self._ledger, entry)

    def _special(self, entry: Entry) -> Iterator[Event]:
        kind, body = entry["kind"], entry["body"]
        if kind == "hold-placed":
            self._holds[body["hold"]] = [item["subject"] for item in body["items"]]
            yield from making.held(self._ledger, entry, self._holds[body["hold"]], "non_sellable_other")
        elif kind == "hold-lifted":
            things = self._holds.get(body["hold"], [])
            yield from making.held(self._ledger, entry, things, "sellable_not_accessible")
        elif kind == "carton-opened":
            self._opened[body["carton"]] = entry["seq"]
        elif kind == "carton-picked":
            self._picked.setdefault(body["shipment"], []).append(body["carton"])
        elif kind == "unloaded":
            loaded = self._picked.get(body["left"]["parent"], [])
            if body["left"]["child"] in loaded:
                loaded.remove(body["left"]["child"])
        elif kind == "shipment-departed":
            cartons = self._picked.get(body["shipment"], [])
            yield from moving.shipped(self._ledger, entry, cartons)

    def _wrong(self, entry: Entry, corrected: int | None, made: list[Event], reason: str) -> Iterator[Event]:
        numbers = [each["eventID"] for each in made]
        for each in self._of_entry.get(corrected or 0, []):
            declared: dict[str, Any] = {"declarationTime": entry["event_time"], "reason": reason}
            if numbers:
                declared["correctiveEventIDs"] = numbers
            yield {**each, "recordTime": entry["recorded_at"], "errorDeclaration": declared}
