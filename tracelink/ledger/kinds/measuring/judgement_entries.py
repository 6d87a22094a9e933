"""Entries of what follows from judged discs: a bad one waived by two people, part of a lot rejected, a stack sorted."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Things, on
from tracelink.ledger.kinds.base import EntryBody, Moved
from tracelink.ledger.origin import LAB, LAB_QUALITY, Origin


@dataclass(frozen=True, slots=True)
class SampleWaived:
    """Two people let a bad disc not stand against its lot; the entry's reason says why. It stays bad in every question."""

    kind: ClassVar[str] = "sample-waived"
    export: ClassVar[ExportRule] = ExportRule(on("sample", Things.SAMPLES), no_event=NoEvent.DECISION)
    origin: ClassVar[Origin] = LAB_QUALITY.needs_reason().needs_second("second_person")
    sample: str
    second_person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield Insert("sample_waiver", {"sample": self.sample, "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class StrokesRejected:
    """Part of a lot is rejected; the hold that stands beside it keeps those discs wherever they are."""

    kind: ClassVar[str] = "strokes-rejected"
    export: ClassVar[ExportRule] = ExportRule(on("lot", Things.LOTS), no_event=NoEvent.DECISION)
    origin: ClassVar[Origin] = LAB_QUALITY.needs_reason()
    lot: str
    first: int
    last: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield Insert(
            "rejected_strokes", {"seq": entry.seq, "lot": self.lot, "first": self.first, "last": self.last}
        )


@dataclass(frozen=True, slots=True)
class StackSorted:
    """Every disc of a stack was looked at, and the bad ones thrown out."""

    kind: ClassVar[str] = "stack-sorted"
    export: ClassVar[ExportRule] = ExportRule(
        on("lot", Things.WHOLE) + on("spindle", Things.SPINDLES),
        no_event=NoEvent.PART_OF_AN_ACT,
        tables=(BundleTable.DEVIATIONS,),
    )
    origin: ClassVar[Origin] = LAB
    lot: str
    spindle: str
    looked_at: int
    """All discs that were on it."""
    defect: str
    """What they were sorted by."""
    moved: Moved | None
    """The bad ones, from the spindle to scrap; None if there was none."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row, and the bad discs move."""
        bad = 0 if self.moved is None else self.moved.quantity
        row = {"seq": entry.seq, "lot": self.lot, "spindle": self.spindle, "looked_at": self.looked_at}
        yield Insert("sorting", {**row, "bad": bad, "defect": self.defect})
        if self.moved is not None:
            yield from self.moved.changes(entry, 0)


@dataclass(frozen=True, slots=True)
class PlaceSorted:
    """Every disc of a closed carton or a loose return was looked at, and the bad ones thrown out, with their sleeves."""

    kind: ClassVar[str] = "place-sorted"
    export: ClassVar[ExportRule] = ExportRule(
        on("lot", Things.WHOLE) + on("carton", Things.CARTONS),
        no_event=NoEvent.PART_OF_AN_ACT,
        tables=(BundleTable.DEVIATIONS,),
    )
    origin: ClassVar[Origin] = LAB
    lot: str
    place: str
    """The carton, or the place of its return."""
    carton: str | None
    """The carton; None for loose discs."""
    batch: str | None
    """The batch of the sleeves of bad discs; None if no disc was bad, or none was in a sleeve."""
    looked_at: int
    """All discs that were there."""
    defect: str
    """What they were sorted by."""
    moved: Moved | None
    """The bad ones, from there to scrap; None if there was none."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row; the bad discs move, and their units are in the carton no more."""
        bad = 0 if self.moved is None else self.moved.quantity
        row = {"seq": entry.seq, "lot": self.lot, "place": self.place, "looked_at": self.looked_at}
        yield Insert("place_sorting", {**row, "bad": bad, "defect": self.defect})
        if self.moved is None:
            return
        yield from self.moved.changes(entry, 0)
        if self.carton is not None and self.batch is not None:
            yield Increase("carton", {"sscc": self.carton}, "units", -bad)
            yield Increase("carton_sleeve", {"carton": self.carton, "batch": self.batch}, "units", -bad)
            label = {"seq": entry.seq, "subject": self.batch, "fate": "destroyed", "quantity": bad}
            yield Insert("label_count", label)


KINDS: tuple[type[EntryBody], ...] = (SampleWaived, StrokesRejected, StackSorted, PlaceSorted)
"""The kinds of this module, for the registry."""
