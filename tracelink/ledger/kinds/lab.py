"""Entries of the lab and of quality: samples, judgements, measurements, lot decisions, holds."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.closed_sets import DiscPlace, MovementSense
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, Taken, Things, on
from tracelink.ledger.kinds.base import Moved, numbered_label, sleeve_out
from tracelink.ledger.kinds.press import Reading
from tracelink.ledger.origin import LAB, LAB_QUALITY, OF_A_HOLD, OF_A_LIFT, Origin


@dataclass(frozen=True, slots=True)
class SampleDrawn:
    """One disc, known by its stroke, went to the lab under a tag, from the press.

    Older programs wrote this of every sample, with the spindle that the stroke had once been put on as its source:
    nobody was asked whether the disc was still there.
    """

    kind: ClassVar[str] = "sample-drawn"
    export: ClassVar[ExportRule] = ExportRule(on("sample", Things.SAMPLES))
    origin: ClassVar[Origin] = LAB
    sample: str
    stroke: int
    reading: Reading
    """A disc in the hand proves its stroke; the counter is read forward if it was behind."""
    moved: Moved

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The disc moves to its tag."""
        yield from self.reading.changes()
        yield Insert(
            "sample",
            {
                "code": self.sample,
                "lot": self.moved.lot,
                "stroke": self.stroke,
                "at": entry.stamp.event_time,
                "seq": entry.seq,
            },
        )
        said = self.moved.source == DiscPlace.COUNTER
        yield from self.moved.changes(entry, 0, None if said else MovementSense.ASSUMED)


@dataclass(frozen=True, slots=True)
class UnitOpened:
    """A unit that a disc was taken out of: a sleeve of a carton, which is not packed any more."""

    carton: str
    gtin: str
    batch: str
    """The batch of its sleeve."""
    items: tuple[str, ...]
    """Kit items that were in it."""
    number: str | None
    """Its number, None for an edition without numbers."""


@dataclass(frozen=True, slots=True)
class SampleTaken:
    """One disc went to the lab under a tag, from a place that was scanned."""

    kind: ClassVar[str] = "sample-taken"
    export: ClassVar[ExportRule] = ExportRule(
        on("sample", Things.SAMPLES)
        + on("moved.source", Things.SPINDLES, Things.CARTONS)
        + on("unit.carton", Things.CARTONS)
    )
    origin: ClassVar[Origin] = LAB
    sample: str
    stroke: int | None
    """Its stroke; None if nobody knows it: the disc is one of those that were in its place."""
    moved: Moved
    """From a spindle, a carton or a return to the tag."""
    unit: UnitOpened | None
    """The unit in its carton that it was taken out of, None if it was in none."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The disc moves to its tag; its unit is in the carton no more."""
        row = {"code": self.sample, "lot": self.moved.lot, "stroke": self.stroke}
        yield Insert("sample", {**row, "at": entry.stamp.event_time, "seq": entry.seq})
        yield from self.moved.changes(entry, 0)
        if self.unit is None:
            return
        carton, batch, number = self.unit.carton, self.unit.batch, self.unit.number
        yield from sleeve_out(carton, batch, self.unit.gtin, number)
        for item in self.unit.items:
            yield Increase("carton_item", {"carton": carton, "item": item}, "quantity", -1)
        yield Insert("label_count", {"seq": entry.seq, "subject": batch, "fate": "samples", "quantity": 1})
        if number is not None:
            subject = numbered_label(self.unit.gtin, number)
            yield Insert("void_label", {"subject": subject, "replaced_by": None, "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class SampleJudged:
    """The lab judged a sample good, or bad with the defect's name.

    A second judgement of the same sample corrects the first: the entry names it and the reason.
    """

    kind: ClassVar[str] = "sample-judged"
    export: ClassVar[ExportRule] = ExportRule(on("sample", Things.SAMPLES))
    origin: ClassVar[Origin] = LAB
    sample: str
    good: bool
    defect: str | None

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per judgement; a corrected one stays, marked by the entry that corrects it."""
        if entry.corrects is not None:
            yield Update("judgement", {"seq": entry.corrects}, {"corrected_by": entry.seq})
        yield Insert(
            "judgement",
            {
                "seq": entry.seq,
                "sample": self.sample,
                "good": int(self.good),
                "defect": self.defect,
                "corrected_by": None,
            },
        )


@dataclass(frozen=True, slots=True)
class SampleMeasured:
    """A measured value, as text so that no digit is lost, with its unit."""

    kind: ClassVar[str] = "sample-measured"
    export: ClassVar[ExportRule] = ExportRule(on("sample", Things.SAMPLES))
    origin: ClassVar[Origin] = LAB
    sample: str
    quantity: str
    value: str
    unit: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One measurement row."""
        yield Insert(
            "measurement",
            {
                "seq": entry.seq,
                "sample": self.sample,
                "quantity": self.quantity,
                "value": self.value,
                "unit": self.unit,
            },
        )


@dataclass(frozen=True, slots=True)
class LotDecided:
    """An authorised person released or rejected a lot; the entry's reason says on what grounds."""

    kind: ClassVar[str] = "lot-decided"
    export: ClassVar[ExportRule] = ExportRule(on("lot", Things.LOTS))
    origin: ClassVar[Origin] = LAB_QUALITY.needs_reason().needs_second("second_person", always=False)
    lot: str
    decision: str
    """released or rejected."""
    second_person: str | None
    """Who agreed, where the rule asks for two."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The lot's decision."""
        yield Update("lot", {"code": self.lot}, {"decision": self.decision})


@dataclass(frozen=True, slots=True)
class HeldItem:
    """One thing held, or some strokes of a lot."""

    subject: str
    first: int | None
    last: int | None


@dataclass(frozen=True, slots=True)
class HoldPlaced:
    """Things are held: no station may use, pack, palletise or ship them until the hold is lifted."""

    kind: ClassVar[str] = "hold-placed"
    export: ClassVar[ExportRule] = ExportRule(on("cause", Things.ANY) + on("items[].subject", Things.ANY))
    origin: ClassVar[Origin] = OF_A_HOLD
    hold: str
    cause: str
    """What the hold is about: the thing whose fault led to it."""
    items: tuple[HeldItem, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The hold and one row per thing held."""
        yield Insert(
            "hold",
            {
                "code": self.hold,
                "cause": self.cause,
                "reason": entry.reason,
                "person": entry.stamp.person,
                "seq": entry.seq,
                "lifted_seq": None,
            },
        )
        for line, item in enumerate(self.items):
            row = {"hold": self.hold, "line": line, "subject": item.subject}
            yield Insert("hold_item", {**row, "first": item.first, "last": item.last})


@dataclass(frozen=True, slots=True)
class HoldLifted:
    """Two authorised people lifted a hold; the entry's reason says why."""

    kind: ClassVar[str] = "hold-lifted"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.WITH_ANOTHER)
    origin: ClassVar[Origin] = OF_A_LIFT.needs_second("second_person")
    hold: str
    second_person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The hold ends at this entry."""
        yield Update("hold", {"code": self.hold}, {"lifted_seq": entry.seq})
