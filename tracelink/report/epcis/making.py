"""EPCIS events of the tool room, the press, the lab and quality."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.kinds.balance import StockCounted
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.lab import LotDecided, SampleDrawn, SampleJudged, SampleMeasured, SampleTaken
from tracelink.ledger.kinds.line import DiscRejected
from tracelink.ledger.kinds.measuring.result_entries import ResultRecorded
from tracelink.ledger.kinds.press import (
    DiscsScrapped,
    Mounted,
    PressSetUp,
    PressStarted,
    PressStopped,
    Reading,
    RunChanged,
    StackTaken,
    TrialThrown,
)
from tracelink.ledger.kinds.press_corrections import CounterCorrected, PressResumed
from tracelink.ledger.kinds.setup import MaterialReceived, SleevesReceived
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown, ToolRetired
from tracelink.report.epcis.event import (
    Entry,
    Event,
    EventContext,
    associated,
    discs_of,
    event,
    quantity,
    seen,
    sensor_report,
)

Maker = Callable[[EventContext, Entry, Any], Iterator[Event]]
"""Yields the events of an entry; the last argument is its body, of the kind that the maker is for."""


def _master(ledger: EventContext, entry: Entry, body: MasterRegistered) -> Iterator[Event]:
    yield seen(
        ledger,
        entry,
        "commissioning",
        "active",
        action="ADD",
        epcList=[ledger.names.thing(body.tool)],
        ilmd={"plant:toolKind": body.what, "plant:side": body.side, "plant:matrix": body.matrix},
    )


def _grown(ledger: EventContext, entry: Entry, body: ToolGrown) -> Iterator[Event]:
    yield event(
        ledger,
        entry,
        "TransformationEvent",
        inputEPCList=[ledger.names.thing(body.parent)],
        outputEPCList=[ledger.names.thing(body.tool)],
        bizStep="commissioning",
        disposition="active",
        ilmd={"plant:toolKind": body.what, "plant:side": body.side, "plant:matrix": body.matrix},
    )


def _retired(ledger: EventContext, entry: Entry, body: ToolRetired) -> Iterator[Event]:
    yield seen(ledger, entry, "other", "inactive", epcList=[ledger.names.thing(body.tool)])


def _mounted(ledger: EventContext, entry: Entry, body: PressSetUp | PressResumed) -> Iterator[Event]:
    yield _on_press(ledger, entry, body.mounted)


def _on_press(ledger: EventContext, entry: Entry, mounted: Mounted) -> Event:
    return _stampers(ledger, entry, mounted, joins=True)


def _stampers(ledger: EventContext, entry: Entry, mounted: Mounted, *, joins: bool) -> Event:
    part, step = ("mount", "installing") if joins else ("unmount", "removing")
    both = [ledger.names.thing(stamper) for stamper in (mounted.stamper_a, mounted.stamper_b)]
    press = ledger.names.thing(mounted.press)
    return associated(ledger, entry, part, press, {"childEPCs": both}, joins=joins, step=step)


def _started(ledger: EventContext, entry: Entry, body: PressStarted) -> Iterator[Event]:
    yield {
        **seen(
            ledger,
            entry,
            "inspecting",
            "conformant",
            quantityList=[quantity(ledger.names.discs(body.lot), 1)],
        ),
        "plant:readMatrixA": body.read_a,
        "plant:readMatrixB": body.read_b,
    }


class Runs:
    """The press runs of the document: one transformation for each segment, once it has ended or is as far as known."""

    def __init__(self) -> None:
        self._open: dict[str, tuple[int, Mounted]] = {}
        self._last: dict[str, tuple[Entry, int]] = {}

    def see(self, ledger: EventContext, entry: Entry, body: EntryBody) -> Iterator[Event]:
        """Take an entry of a press and yield the events of the segment that it ends."""
        if isinstance(body, PressSetUp | PressResumed):
            self._open[body.lot] = (body.first if isinstance(body, PressResumed) else 1, body.mounted)
        if isinstance(body, CounterCorrected):
            self._last[body.lot] = (entry, body.counter)
        reading = getattr(body, "reading", None)
        if not isinstance(reading, Reading) or reading.lot not in self._open:
            return
        lot = reading.lot
        self._last[lot] = (entry, reading.counter)
        if not isinstance(body, RunChanged | PressStopped):
            return
        first, mounted = self._open.pop(lot)
        yield from _segment(ledger, entry, lot, (first, reading.counter), mounted)
        yield _stampers(ledger, entry, mounted, joins=False)
        if isinstance(body, RunChanged):
            self._open[lot] = (reading.counter + 1, body.mounted)
            yield _on_press(ledger, entry, body.mounted)

    def unfinished(self, ledger: EventContext) -> Iterator[Event]:
        """Yield the segments that no entry ended, as far as the counter was read."""
        for lot, (first, mounted) in sorted(self._open.items()):
            if lot in self._last:
                entry, counter = self._last[lot]
                yield from _segment(ledger, entry, lot, (first, counter), mounted)


def _segment(
    ledger: EventContext, entry: Entry, lot: str, strokes: tuple[int, int], mounted: Mounted
) -> Iterator[Event]:
    first, last = strokes
    discs = last - first + 1
    if discs < 1:
        return
    names = ledger.names
    yield event(
        ledger,
        entry,
        "TransformationEvent",
        f"run {lot} {first}",
        # Each run its own: every input of events that share one may have gone into every output of all of them.
        transformationID=names.address("run", f"{lot}-{first}"),
        inputEPCList=sorted({names.thing(mounted.stamper_a), names.thing(mounted.stamper_b)}),
        inputQuantityList=[
            quantity(names.thing(mounted.compound), None),
            quantity(names.thing(mounted.label_a), discs),
            quantity(names.thing(mounted.label_b), discs),
        ],
        outputQuantityList=[quantity(names.discs(lot), discs)],
        bizStep="creating_class_instance",
        disposition="in_progress",
        ilmd={"cbvmda:lotNumber": lot, "plant:firstStroke": first, "plant:lastStroke": last},
    )


def _stacked(ledger: EventContext, entry: Entry, body: StackTaken) -> Iterator[Event]:
    yield event(
        ledger,
        entry,
        "AggregationEvent",
        action="ADD",
        parentID=ledger.names.thing(body.spindle),
        childQuantityList=discs_of(ledger, body.moves),
        bizStep="storing",
        disposition="in_progress",
    )


def _thrown(
    ledger: EventContext, entry: Entry, body: DiscsScrapped | DiscRejected | TrialThrown
) -> Iterator[Event]:
    discs = discs_of(ledger, body.moves if isinstance(body, TrialThrown) else [body.moved])
    if discs:
        yield seen(ledger, entry, "destroying", "destroyed", action="DELETE", quantityList=discs)


def _counter_corrected(ledger: EventContext, entry: Entry, body: CounterCorrected) -> Iterator[Event]:
    """The event of the reading that was wrong, as it should have been."""
    discs = [quantity(ledger.names.discs(body.lot), body.counter - body.first + 1)]
    if body.place == DiscPlace.SET_UP:
        yield seen(ledger, entry, "destroying", "destroyed", action="DELETE", quantityList=discs)
        return
    yield event(
        ledger,
        entry,
        "AggregationEvent",
        action="ADD",
        parentID=ledger.names.thing(body.place),
        childQuantityList=discs,
        bizStep="storing",
        disposition="in_progress",
    )


def sampled(ledger: EventContext, entry: Entry, body: SampleDrawn | SampleTaken) -> Iterator[Event]:
    """Yield the tag that came to be, and the disc that went to it."""
    stroke = {} if body.stroke is None else {"plant:stroke": body.stroke}
    yield seen(
        ledger,
        entry,
        "commissioning",
        "active",
        action="ADD",
        epcList=[ledger.names.thing(body.sample)],
        ilmd={"cbvmda:lotNumber": body.moved.lot, **stroke},
    )
    yield seen(
        ledger, entry, "sampling", "in_progress", part="drawn", quantityList=discs_of(ledger, [body.moved])
    )


def _judged(ledger: EventContext, entry: Entry, body: SampleJudged) -> Iterator[Event]:
    found = "conformant" if body.good else "non_conformant"
    made = seen(ledger, entry, "inspecting", found, epcList=[ledger.names.thing(body.sample)])
    yield made if body.defect is None else {**made, "plant:defect": body.defect}


def _measured(ledger: EventContext, entry: Entry, body: SampleMeasured | ResultRecorded) -> Iterator[Event]:
    report = sensor_report(body.quantity, body.value, body.unit)
    sensor = [{"sensorMetadata": {"time": entry["event_time"]}, "sensorReport": [report]}]
    epcs = [ledger.names.thing(body.sample)]
    yield seen(ledger, entry, "inspecting", None, epcList=epcs, sensorElementList=sensor)


def _decided(ledger: EventContext, entry: Entry, body: LotDecided) -> Iterator[Event]:
    found = "sellable_not_accessible" if body.decision == "released" else "non_sellable_other"
    yield seen(ledger, entry, "holding", found, quantityList=[quantity(ledger.names.discs(body.lot), None)])


def held(ledger: EventContext, entry: Entry, items: list[str], disposition: str) -> Iterator[Event]:
    """Yield the event of things held or released; lots are classes, all else are things."""
    codes = ledger.wanted(items)
    lots = [quantity(ledger.names.discs(code), None) for code in codes if ledger.names.is_class(code)]
    epcs = [ledger.names.thing(code) for code in codes if not ledger.names.is_class(code)]
    if lots or epcs:
        yield seen(ledger, entry, "holding", disposition, epcList=epcs or None, quantityList=lots or None)


def _counted(ledger: EventContext, entry: Entry, body: StockCounted) -> Iterator[Event]:
    same = all(each.quantity == each.expected for each in body.lots)
    counted = [quantity(ledger.names.discs(each.lot), each.quantity) for each in body.lots]
    yield seen(ledger, entry, "stock_taking", None if same else "mismatch_quantity", quantityList=counted)


def _material(
    ledger: EventContext, entry: Entry, body: MaterialReceived | SleevesReceived
) -> Iterator[Event]:
    code, count = (body.material, None) if isinstance(body, MaterialReceived) else (body.batch, body.quantity)
    yield seen(
        ledger, entry, "receiving", "in_progress", quantityList=[quantity(ledger.names.thing(code), count)]
    )


MAKERS: Mapping[type[EntryBody], Maker] = {
    MasterRegistered: _master,
    ToolGrown: _grown,
    ToolRetired: _retired,
    PressSetUp: _mounted,
    PressResumed: _mounted,
    CounterCorrected: _counter_corrected,
    PressStarted: _started,
    StackTaken: _stacked,
    DiscsScrapped: _thrown,
    DiscRejected: _thrown,
    TrialThrown: _thrown,
    SampleDrawn: sampled,
    SampleJudged: _judged,
    SampleMeasured: _measured,
    ResultRecorded: _measured,
    LotDecided: _decided,
    StockCounted: _counted,
    MaterialReceived: _material,
    SleevesReceived: _material,
}
"""Kind of entry -> the events it gives; press runs come from `Runs`, holds from `epcis_export`."""
