"""Entries of studies: what several people say of the same discs, and read on them with one gauge. They judge no disc."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import LAB, Origin


@dataclass(frozen=True, slots=True)
class VerdictCompared:
    """One of several inspectors said what a disc is, to be compared with what the others say."""

    kind: ClassVar[str] = "verdict-compared"
    export: ClassVar[ExportRule] = ExportRule(on("sample", Things.SAMPLES), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = LAB
    sample: str
    verdict: str
    """good, or the name of the defect."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row, with the person of the entry."""
        row = {"seq": entry.seq, "sample": self.sample, "person": entry.stamp.person, "verdict": self.verdict}
        yield Insert("compared_verdict", {**row, "at": entry.stamp.event_time})


@dataclass(frozen=True, slots=True)
class StudyRead:
    """A reading of a study of a gauge: the same people read the same discs several times. It is no result of the disc."""

    kind: ClassVar[str] = "study-read"
    export: ClassVar[ExportRule] = ExportRule(on("sample", Things.SAMPLES), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = LAB
    sample: str
    quantity: str
    """The lab test."""
    value: str
    """A decimal number as text, so that no digit is lost."""
    unit: str
    side: str | None
    """A or B; None for a test of the whole disc."""
    gauge: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row, with the person of the entry."""
        yield Insert(
            "study_reading",
            {
                "seq": entry.seq,
                "sample": self.sample,
                "test": self.quantity,
                "side": self.side,
                "gauge": self.gauge,
                "person": entry.stamp.person,
                "value": self.value,
                "at": entry.stamp.event_time,
            },
        )


KINDS: tuple[type[EntryBody], ...] = (VerdictCompared, StudyRead)
"""The kinds of this module, for the registry."""
