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

from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.dock import ShipmentDeparted
from tracelink.ledger.kinds.lab import HoldLifted, HoldPlaced
from tracelink.ledger.kinds.line import CartonOpened
from tracelink.ledger.kinds.packing_changes import CartonUnopened
from tracelink.ledger.kinds.press import PressStopped, RunChanged
from tracelink.ledger.kinds.process.corrected_steps import StepAmountCorrected
from tracelink.ledger.kinds.process.step_entries import StepEnded, StepMade
from tracelink.ledger.kinds.registry import KINDS, read_fields
from tracelink.ledger.kinds.warehouse import CartonPicked, Unloaded
from tracelink.report.epcis import assembling, making, moving, processing, returning
from tracelink.report.epcis.event import Entry, Event, EventContext
from tracelink.report.epcis.making import Maker

CONTEXT = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"

MAKERS: Mapping[type[EntryBody], Maker] = {
    **making.MAKERS,
    **moving.MAKERS,
    **returning.MAKERS,
    **assembling.MAKERS,
}
"""Kind of entry -> the events it gives by itself."""

WITH_OTHERS: tuple[type[EntryBody], ...] = (
    RunChanged,
    PressStopped,
    HoldPlaced,
    HoldLifted,
    ShipmentDeparted,
    CartonUnopened,
    StepMade,
    StepEnded,
    StepAmountCorrected,
)
"""Kinds whose events need what other entries said; those of every other kind say why they give none."""


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
        self._steps = processing.Steps()
        self._of_entry: dict[int, list[Event]] = {}
        self._opened: dict[str, int] = {}
        self._holds: dict[str, list[str]] = {}
        self._picked: dict[str, list[str]] = {}

    def of(self, entries: Iterable[Entry]) -> Iterator[Event]:
        """Yield all events."""
        for entry in entries:
            made = list(self._events(entry))
            self._of_entry[entry["seq"]] = made
            if entry["corrects"] is not None:
                yield from self._wrong(entry, entry["corrects"], made, "incorrect_data")
            if entry["kind"] == CartonUnopened.kind:
                # The label was scanned by mistake: no carton came to be.
                yield from self._wrong(entry, self._opened.get(entry["body"]["carton"]), [], "did_not_occur")
            yield from made
        yield from self._runs.unfinished(self._ledger)

    def _events(self, entry: Entry) -> Iterator[Event]:
        if entry["kind"] not in KINDS:
            # Written by a newer program: what happened is not known here.
            return
        body = read_fields(entry["kind"], entry["body"], entry["seq"])
        yield from self._with_others(entry, body)
        if type(body) in MAKERS:
            yield from MAKERS[type(body)](self._ledger, entry, body)
        yield from self._runs.see(self._ledger, entry, body)
        yield from self._steps.see(self._ledger, entry, body)

    def _with_others(self, entry: Entry, body: EntryBody) -> Iterator[Event]:
        if isinstance(body, HoldPlaced):
            self._holds[body.hold] = [item.subject for item in body.items]
            yield from making.held(self._ledger, entry, self._holds[body.hold], "non_sellable_other")
        elif isinstance(body, HoldLifted):
            things = self._holds.get(body.hold, [])
            yield from making.held(self._ledger, entry, things, "sellable_not_accessible")
        elif isinstance(body, CartonOpened):
            self._opened[body.carton] = entry["seq"]
        elif isinstance(body, CartonPicked):
            self._picked.setdefault(body.shipment, []).append(body.carton)
        elif isinstance(body, Unloaded):
            loaded = self._picked.get(body.left.parent, [])
            if body.left.child in loaded:
                loaded.remove(body.left.child)
        elif isinstance(body, ShipmentDeparted):
            yield from moving.shipped(self._ledger, entry, body, self._picked.get(body.shipment, []))

    def _wrong(self, entry: Entry, corrected: int | None, made: list[Event], reason: str) -> Iterator[Event]:
        numbers = [each["eventID"] for each in made]
        for each in self._of_entry.get(corrected or 0, []):
            declared: dict[str, Any] = {"declarationTime": entry["event_time"], "reason": reason}
            if numbers:
                declared["correctiveEventIDs"] = numbers
            yield {**each, "recordTime": entry["recorded_at"], "errorDeclaration": declared}
