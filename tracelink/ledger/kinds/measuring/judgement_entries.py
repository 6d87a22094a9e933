"""Entries of what follows from judged discs: a bad one waived by two people, part of a lot rejected, a stack sorted."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Things, on
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
        on("lot", Things.WHOLE) + on("spindle", Things.SPINDLES), no_event=NoEvent.PART_OF_AN_ACT
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


KINDS: tuple[type[EntryBody], ...] = (SampleWaived, StrokesRejected, StackSorted)
"""The kinds of this module, for the registry."""
