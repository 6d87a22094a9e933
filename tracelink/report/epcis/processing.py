"""EPCIS events of process steps: what was blended becomes something else, what went through is seen.

The vocabulary has no word for a wash or a plating bath: such a step is `other`, with the plant's own word for the process
beside it, and its readings are a sensor report.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tracelink.ledger.closed_sets import StepInput
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.process.corrected_steps import StepAmountCorrected
from tracelink.ledger.kinds.process.step_entries import (
    StepBegun,
    StepEnded,
    StepMade,
    StepRead,
    StepTakenBack,
    StepTook,
)
from tracelink.report.epcis.event import Entry, Event, EventContext, event, quantity, seen, sensor_report

_UNITS = {"g": ("KGM", 1000), "ml": ("LTR", 1000)}
"""Base unit -> UN/CEFACT code of a larger one, and how many of it that is; pieces are counted and have no unit."""


class Steps:
    """The process steps of the document."""

    def __init__(self) -> None:
        self._items: dict[str, list[StepTook]] = {}
        self._readings: dict[str, list[dict[str, Any]]] = {}

    def see(self, ledger: EventContext, entry: Entry, body: EntryBody) -> Iterator[Event]:
        """Take an entry of a process station and yield the events of what is made, or of the step that it ends."""
        if isinstance(body, StepBegun):
            self._items[body.step], self._readings[body.step] = [], []
        elif isinstance(body, StepTook):
            self._items.setdefault(body.step, []).append(body)
        elif isinstance(body, StepTakenBack):
            self._take_back(body)
        elif isinstance(body, StepRead):
            self._readings.setdefault(body.step, []).append(
                {
                    "sensorMetadata": {"time": entry["event_time"]},
                    "sensorReport": [sensor_report(body.parameter, body.value, body.unit)],
                }
            )
        elif isinstance(body, StepMade | StepAmountCorrected):
            yield self._made(ledger, entry, body)
        elif isinstance(body, StepEnded):
            yield from self._ended(ledger, entry, body)

    def _take_back(self, body: StepTakenBack) -> None:
        items = self._items.get(body.step, [])
        last = next(
            (number for number in reversed(range(len(items))) if items[number].thing == body.thing), None
        )
        if last is not None:
            del items[last]

    def _made(self, ledger: EventContext, entry: Entry, body: StepMade | StepAmountCorrected) -> Event:
        names = ledger.names
        inputs = [
            _amount(
                names.discs(item.thing) if item.what == StepInput.GROUND else names.thing(item.thing),
                item.amount,
                item.unit,
            )
            for item in self._items.get(body.step, [])
        ]
        return event(
            ledger,
            entry,
            "TransformationEvent",
            transformationID=names.address("step", body.step),
            inputQuantityList=inputs or None,
            outputQuantityList=[_amount(names.thing(body.material), body.amount, body.unit)],
            bizStep="creating_class_instance",
            disposition="in_progress",
            ilmd={
                "cbvmda:lotNumber": body.material,
                "plant:process": body.detail if isinstance(body, StepMade) else body.process,
            },
        )

    def _ended(self, ledger: EventContext, entry: Entry, body: StepEnded) -> Iterator[Event]:
        # Kept for a step that runs again, because it was not over, and for the right amount of what it made.
        items, readings = self._items.get(body.step, []), self._readings.get(body.step, [])
        if body.made:
            return
        names = ledger.names
        epcs = [names.thing(item.thing) for item in items if item.what in (StepInput.TOOL, StepInput.SPINDLE)]
        classes = [
            quantity(names.discs(item.thing), (item.last or 0) - (item.first or 0) + 1)
            if item.what == StepInput.STROKES
            else _amount(names.thing(item.thing), item.amount, item.unit)
            for item in items
            if item.what in (StepInput.STROKES, StepInput.MATERIAL)
        ]
        if epcs or classes:
            made = seen(
                ledger,
                entry,
                "other",
                None,
                epcList=sorted(set(epcs)) or None,
                quantityList=classes or None,
                sensorElementList=readings or None,
            )
            made.pop("disposition", None)
            yield {**made, "plant:process": body.process, "plant:step": names.address("step", body.step)}


def _amount(name: str, amount: int | None, unit: str | None) -> dict[str, Any]:
    if amount is None or unit not in _UNITS:
        return quantity(name, amount)
    code, size = _UNITS[unit]
    whole, rest = divmod(amount, size)
    return {"epcClass": name, "quantity": amount / size if rest else whole, "uom": code}
