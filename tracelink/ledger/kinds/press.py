"""Entries of the press room: set-up, start, stacks, changes mid-run, stop."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.closed_sets import DiscPlace, LotStatus
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Things, on
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.origin import PRESS, Origin


@dataclass(frozen=True, slots=True)
class Reading:
    """The press counter was read: the lot now has strokes 1 ... `counter`."""

    lot: str
    segment: int
    """First stroke of the run segment that is running."""
    before: int
    """The counter as last known."""
    counter: int

    def changes(self) -> Iterator[Change]:
        """The lot and its segment grow; the new discs lie at the counter."""
        if self.counter == self.before:
            return
        yield Update("lot", {"code": self.lot}, {"counter": self.counter})
        yield Update("run_segment", {"lot": self.lot, "first": self.segment}, {"last": self.counter})
        key = {"place": DiscPlace.COUNTER, "lot": self.lot}
        yield Increase("stock", key, "quantity", self.counter - self.before)


@dataclass(frozen=True, slots=True)
class Mounted:
    """What a run segment is pressed with."""

    press: str
    stamper_a: str
    stamper_b: str
    life_a: int
    """Strokes that stamper A had made before the first stroke of this segment."""
    life_b: int
    compound: str
    label_a: str
    label_b: str

    def segment(self, lot: str, first: int, entry: Entry) -> Insert:
        """The row of a segment that starts at stroke `first` and has made no stroke yet."""
        return Insert(
            "run_segment",
            {
                "lot": lot,
                "first": first,
                "last": first - 1,
                "press": self.press,
                "stamper_a": self.stamper_a,
                "stamper_b": self.stamper_b,
                "life_a": self.life_a,
                "life_b": self.life_b,
                "compound": self.compound,
                "label_a": self.label_a,
                "label_b": self.label_b,
                "seq": entry.seq,
            },
        )


@dataclass(frozen=True, slots=True)
class PressSetUp:
    """A lot was set up on a press with its stamper pair, compound and labels."""

    kind: ClassVar[str] = "press-set-up"
    export: ClassVar[ExportRule] = ExportRule(
        on("lot", Things.LOTS), tables=(BundleTable.PRESS_ACTS,), called="set up"
    )
    origin: ClassVar[Origin] = PRESS
    lot: str
    mounted: Mounted

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The lot is on the press; its first segment is ready."""
        yield Update("lot", {"code": self.lot}, {"status": LotStatus.SET_UP, "press": self.mounted.press})
        yield self.mounted.segment(self.lot, 1, entry)


@dataclass(frozen=True, slots=True)
class PressStarted:
    """The first disc was looked at and its matrix numbers read; the run may go on."""

    kind: ClassVar[str] = "press-started"
    export: ClassVar[ExportRule] = ExportRule(
        on("lot", Things.LOTS), tables=(BundleTable.PRESS_ACTS,), called="first disc approved"
    )
    origin: ClassVar[Origin] = PRESS
    lot: str
    read_a: str
    """Matrix number as read by eye on side A of the first disc."""
    read_b: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The lot runs."""
        yield Update("lot", {"code": self.lot}, {"status": LotStatus.RUNNING})


@dataclass(frozen=True, slots=True)
class StackTaken:
    """The discs since the last stack were put on a spindle, under a card."""

    kind: ClassVar[str] = "stack-taken"
    export: ClassVar[ExportRule] = ExportRule(on("spindle", Things.SPINDLES))
    origin: ClassVar[Origin] = PRESS
    spindle: str
    reading: Reading
    moves: tuple[Moved, ...]
    """Counter to spindle, one line per unbroken stroke range (samples leave gaps)."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The counter is read, the card made out, the discs moved."""
        yield from self.reading.changes()
        row = {"code": self.spindle, "lot": self.reading.lot, "at": entry.stamp.event_time, "seq": entry.seq}
        yield Insert("spindle", row)
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)


@dataclass(frozen=True, slots=True)
class DiscsScrapped:
    """Discs were thrown out; which strokes they were is not recorded."""

    kind: ClassVar[str] = "discs-scrapped"
    export: ClassVar[ExportRule] = ExportRule(on("moved.lot", Things.WHOLE), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = PRESS
    moved: Moved

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The discs move to scrap."""
        yield from self.moved.changes(entry, 0)


@dataclass(frozen=True, slots=True)
class TrialThrown:
    """Discs pressed while the press was set up, or first-offs after a change, were thrown out by their strokes."""

    kind: ClassVar[str] = "trial-thrown"
    export: ClassVar[ExportRule] = ExportRule(
        on("reading.lot", Things.WHOLE),
        tables=(BundleTable.DEVIATIONS, BundleTable.PRESS_ACTS),
        called="set-up discs scrapped",
    )
    origin: ClassVar[Origin] = PRESS
    reading: Reading
    moves: tuple[Moved, ...]
    """Counter to set-up, one line per unbroken stroke range (samples leave gaps)."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The counter is read, the discs moved."""
        yield from self.reading.changes()
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)


@dataclass(frozen=True, slots=True)
class RunChanged:
    """A stamper, the compound or a label lot was changed mid-run; a new segment starts."""

    kind: ClassVar[str] = "run-changed"
    export: ClassVar[ExportRule] = ExportRule(
        on("reading.lot", Things.LOTS), tables=(BundleTable.PRESS_ACTS,), called="changed"
    )
    origin: ClassVar[Origin] = PRESS
    reading: Reading
    mounted: Mounted

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The old segment ends at the counter; the next stroke belongs to the new one."""
        yield from self.reading.changes()
        first = self.reading.counter + 1
        row = self.mounted.segment(self.reading.lot, first, entry)
        if first == self.reading.segment:
            # Nothing was pressed since the last change: both changes make one segment.
            key = {"lot": self.reading.lot, "first": first}
            yield Update("run_segment", key, {name: row.row[name] for name in row.row if name not in key})
        else:
            yield row


@dataclass(frozen=True, slots=True)
class HopperEmptied:
    """The hopper was emptied: what is pressed from now on holds nothing of the compound before."""

    kind: ClassVar[str] = "hopper-emptied"
    export: ClassVar[ExportRule] = ExportRule(
        on("reading.lot", Things.LOTS),
        no_event=NoEvent.PART_OF_AN_ACT,
        tables=(BundleTable.PRESS_ACTS,),
        called="hopper emptied",
    )
    origin: ClassVar[Origin] = PRESS
    press: str
    reading: Reading

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The counter is read, the emptying kept with the stroke it came after."""
        yield from self.reading.changes()
        row = {"seq": entry.seq, "press": self.press, "lot": self.reading.lot, "after": self.reading.counter}
        yield Insert("hopper_emptied", row)


@dataclass(frozen=True, slots=True)
class PressStopped:
    """The run is over: the counter says how many discs the lot has."""

    kind: ClassVar[str] = "press-stopped"
    export: ClassVar[ExportRule] = ExportRule(
        on("reading.lot", Things.LOTS), tables=(BundleTable.PRESS_ACTS,), called="stopped"
    )
    origin: ClassVar[Origin] = PRESS
    reading: Reading

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The lot is pressed; its press is free."""
        yield from self.reading.changes()
        yield Update("lot", {"code": self.reading.lot}, {"status": LotStatus.PRESSED})
