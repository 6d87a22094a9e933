"""Entries of measured values: each tied to its disc, side, gauge and the limit that held."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert, Update
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, finding_row
from tracelink.ledger.limit_words import limit_words, of_side
from tracelink.ledger.origin import LAB_COMMAND, LAB_OR_LAB_COMMAND, Origin


@dataclass(frozen=True, slots=True)
class LimitUsed:
    """The limit that held when a value was measured."""

    entry: int
    """The entry that set it: its version."""
    lower: str | None
    upper: str | None


@dataclass(frozen=True, slots=True)
class ResultRecorded:
    """A value of one of the plant's lab tests. A limit that is set later changes nothing of it.

    A second value of the same test of the same disc and side names the one that it is in place of, and the entry's reason
    says why that one does not count. Where that one was outside its limit, two people agreed.
    """

    kind: ClassVar[str] = "result-recorded"
    export: ClassVar[ExportRule] = ExportRule(on("sample", Things.SAMPLES))
    origin: ClassVar[Origin] = LAB_OR_LAB_COMMAND.needs_second("second_person", always=False)
    sample: str
    quantity: str
    """The lab test."""
    value: str
    """A decimal number as text, so that no digit is lost."""
    unit: str
    side: str | None
    """A or B; None for a test of the whole disc."""
    gauge: str
    overdue: bool
    """True if the calibration of the gauge did not hold on that day; the value counts all the same."""
    limit: LimitUsed | None
    """None if no limit held."""
    standing: str
    """within, outside or no limit."""
    in_place_of: int | None
    """The entry of the value that it is in place of."""
    second_person: str | None
    """Who agreed that a value outside the limit does not count."""
    file: int | None = None
    """The entry of the instrument's file that it stands in; None if it was typed."""
    row: int | None = None
    """The row of that file, counted from 1 with its headings."""
    reading: str | None = None
    """The reading of a slow test at which it was measured; None outside of one."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row; the value that does not count any more stays, marked."""
        if self.in_place_of is not None:
            yield Update("lab_result", {"seq": self.in_place_of}, {"replaced_by": entry.seq})
        yield Insert(
            "lab_result",
            {
                "seq": entry.seq,
                "sample": self.sample,
                "test": self.quantity,
                "value": self.value,
                "unit": self.unit,
                "side": self.side,
                "gauge": self.gauge,
                "overdue": int(self.overdue),
                "limit_seq": None if self.limit is None else self.limit.entry,
                "standing": self.standing,
                "at": entry.stamp.event_time,
                "replaced_by": None,
                "file_seq": self.file,
                "file_row": self.row,
                "reading": self.reading,
            },
        )
        if self.limit is not None and self.standing == LimitStanding.OUTSIDE:
            expected = limit_words(self.limit.lower, self.limit.upper, self.unit)
            value = f"{self.value} {self.unit}"
            yield finding_row(
                entry,
                finding=FindingCode.VALUE_OUTSIDE,
                subject=self.sample,
                expected=expected,
                found=value,
                sentence=f"Sample {self.sample}: {self.quantity} {value}{of_side(self.side)} is outside the limit "
                f"({expected}). A person judges the disc.",
            )


@dataclass(frozen=True, slots=True)
class InstrumentFileRead:
    """A file of an instrument was read; the values in it are the entries that follow."""

    kind: ClassVar[str] = "instrument-file-read"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.ALWAYS, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = LAB_COMMAND
    sha256: str
    """Of its bytes, in hexadecimal: the same file is read once."""
    file: str
    """What it is called, without its folder."""
    instrument: str
    values: int
    """How many values it holds."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        row = {"sha256": self.sha256, "file": self.file, "instrument": self.instrument}
        yield Insert("instrument_file", {**row, "read_values": self.values, "seq": entry.seq})


KINDS: tuple[type[EntryBody], ...] = (ResultRecorded, InstrumentFileRead)
"""The kinds of this module, for the registry."""
