"""Entries of slow tests: a disc is played, dropped, heated or stored, and looked at again on set days."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert, Update
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import FROM_FILE, LAB, Origin


@dataclass(frozen=True, slots=True)
class ReadingPlanned:
    """When a disc is looked at again."""

    label: str
    """After what, such as 50 hours played."""
    days: int
    """Days after the test begins, 0 or more."""


@dataclass(frozen=True, slots=True)
class SlowTestNamed:
    """A test that takes days or weeks."""

    kind: ClassVar[str] = "slow-test-named"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.ALWAYS, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = FROM_FILE
    slow_test: str
    readings: tuple[ReadingPlanned, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The test, and a row per reading."""
        yield Insert("slow_test", {"name": self.slow_test, "seq": entry.seq})
        for line, each in enumerate(self.readings):
            row = {"slow_test": self.slow_test, "line": line, "label": each.label, "days": each.days}
            yield Insert("slow_test_reading", row)


@dataclass(frozen=True, slots=True)
class ReadingDue:
    """A reading of a sample."""

    label: str
    due: str
    """Local day, YYYY-MM-DD."""


@dataclass(frozen=True, slots=True)
class SlowTestBegun:
    """A sample began a slow test."""

    kind: ClassVar[str] = "slow-test-begun"
    export: ClassVar[ExportRule] = ExportRule(on("sample", Things.SAMPLES), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = LAB
    sample: str
    slow_test: str
    readings: tuple[ReadingDue, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per reading."""
        for line, each in enumerate(self.readings):
            row = {"sample": self.sample, "line": line, "slow_test": self.slow_test, "label": each.label}
            yield Insert("slow_reading", {**row, "due": each.due, "seq": entry.seq, "taken_seq": None})


@dataclass(frozen=True, slots=True)
class SlowReadingTaken:
    """A sample was looked at on one of its days; if it was bad, its judgement stands beside this entry."""

    kind: ClassVar[str] = "slow-reading-taken"
    export: ClassVar[ExportRule] = ExportRule(on("sample", Things.SAMPLES), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = LAB
    sample: str
    line: int
    """Which of its readings, from 0."""
    label: str
    good: bool
    defect: str | None

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The reading is taken."""
        yield Update("slow_reading", {"sample": self.sample, "line": self.line}, {"taken_seq": entry.seq})


KINDS: tuple[type[EntryBody], ...] = (SlowTestNamed, SlowTestBegun, SlowReadingTaken)
"""The kinds of this module, for the registry."""
