"""Entries of process steps: begun in some equipment, what went in, what was read, what was made, ended."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.closed_sets import StepStatus
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Things, on
from tracelink.ledger.origin import PROCESS, Origin


@dataclass(frozen=True, slots=True)
class StepBegun:
    """A step of a process begins in some equipment, under a step card."""

    kind: ClassVar[str] = "step-begun"
    export: ClassVar[ExportRule] = ExportRule(on("step", Things.STEPS), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = PROCESS
    step: str
    equipment: str
    process: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One step row."""
        yield Insert(
            "step",
            {
                "code": self.step,
                "equipment": self.equipment,
                "process": self.process,
                "status": StepStatus.OPEN,
                "began_at": entry.stamp.event_time,
                "ended_at": None,
                "taken": 0,
                "made": 0,
                "outside": 0,
                "seq": entry.seq,
                "ended_seq": None,
            },
        )


@dataclass(frozen=True, slots=True)
class StepTook:
    """Something went into a step: a tool, what is on a spindle, strokes of a lot, or an amount of material."""

    kind: ClassVar[str] = "step-took"
    export: ClassVar[ExportRule] = ExportRule(
        (*on("step", Things.STEPS), *on("thing", Things.SPINDLES, Things.WHOLE)),
        no_event=NoEvent.PART_OF_AN_ACT,
    )
    origin: ClassVar[Origin] = PROCESS
    step: str
    what: str
    """A `StepInput`."""
    thing: str
    """Code of the tool, spindle, lot or material lot."""
    lot: str | None
    """Of the discs; None for tools and material lots."""
    first: int | None
    """First stroke of the lot; None where strokes were not named."""
    last: int | None
    amount: int | None
    """None for discs and tools."""
    unit: str | None
    """Base unit of the process; None for discs and tools."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row, and what went in altogether."""
        yield Insert(
            "step_item",
            {
                "seq": entry.seq,
                "step": self.step,
                "what": self.what,
                "thing": self.thing,
                "lot": self.lot,
                "first": self.first,
                "last": self.last,
                "amount": self.amount,
                "at": entry.stamp.event_time,
                "taken_back": None,
            },
        )
        if self.amount is not None:
            yield Increase("step", {"code": self.step}, "taken", self.amount)


@dataclass(frozen=True, slots=True)
class StepTakenBack:
    """Something that was booked into a running step did not go in after all; the reason says how that came."""

    kind: ClassVar[str] = "step-taken-back"
    export: ClassVar[ExportRule] = ExportRule(
        (*on("step", Things.STEPS), *on("thing", Things.SPINDLES, Things.WHOLE)),
        no_event=NoEvent.PART_OF_AN_ACT,
        tables=(BundleTable.DEVIATIONS,),
    )
    origin: ClassVar[Origin] = PROCESS.needs_reason()
    step: str
    item: int
    """The entry that booked it in."""
    thing: str
    amount: int | None
    """As it was booked in."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The row says which entry took it back."""
        yield Update("step_item", {"seq": self.item}, {"taken_back": entry.seq})
        if self.amount is not None:
            yield Increase("step", {"code": self.step}, "taken", -self.amount)


@dataclass(frozen=True, slots=True)
class StepRead:
    """A parameter of a step was read."""

    kind: ClassVar[str] = "step-read"
    export: ClassVar[ExportRule] = ExportRule(on("step", Things.STEPS), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = PROCESS
    step: str
    parameter: str
    value: str
    """Decimal text, with a point."""
    unit: str
    outside: bool
    """True if it was not within the limits of that day."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row; a value outside its limits counts for the end of the step."""
        yield Insert(
            "step_reading",
            {
                "seq": entry.seq,
                "step": self.step,
                "parameter": self.parameter,
                "value": self.value,
                "unit": self.unit,
                "outside": int(self.outside),
                "at": entry.stamp.event_time,
                "person": entry.stamp.person,
            },
        )
        if self.outside:
            yield Increase("step", {"code": self.step}, "outside", 1)


@dataclass(frozen=True, slots=True)
class StepMade:
    """A step made a lot of material out of what went in."""

    kind: ClassVar[str] = "step-made"
    export: ClassVar[ExportRule] = ExportRule((*on("step", Things.STEPS), *on("material", Things.MATERIALS)))
    origin: ClassVar[Origin] = PROCESS
    step: str
    material: str
    detail: str
    """What it is, for whoever reads its card."""
    amount: int
    unit: str
    """Base unit of the process."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A material lot like one that came in, and where it came from."""
        yield Insert(
            "material",
            {
                "code": self.material,
                "what": "compound",
                "detail": self.detail,
                "gtin": None,
                "piece": None,
                "side": None,
                "seq": entry.seq,
            },
        )
        row = {"seq": entry.seq, "step": self.step, "material": self.material, "amount": self.amount}
        row["corrected_by"] = None
        yield Insert("step_output", row)
        yield Increase("step", {"code": self.step}, "made", self.amount)


@dataclass(frozen=True, slots=True)
class StepEnded:
    """A step is over; a reason stands beside it if something was not as it should be."""

    kind: ClassVar[str] = "step-ended"
    export: ClassVar[ExportRule] = ExportRule(on("step", Things.STEPS))
    origin: ClassVar[Origin] = PROCESS
    step: str
    process: str
    equipment: str
    taken: int
    """What went in altogether, in the unit of the process; 0 for discs and tools."""
    made: int
    """What was made of it."""
    outside: int
    """Readings outside their limits."""
    unread: tuple[str, ...]
    """Parameters that were never read."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The step's end."""
        yield Update(
            "step",
            {"code": self.step},
            {
                "status": StepStatus.ENDED,
                "ended_at": entry.stamp.event_time,
                "ended_seq": entry.seq,
            },
        )


KINDS = (StepBegun, StepTook, StepTakenBack, StepRead, StepMade, StepEnded)
