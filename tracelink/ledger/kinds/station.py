"""Entries of any kind of station: somebody signed on, a scan was refused; and the reasons that are scanned there."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import finding_row
from tracelink.ledger.origin import ANYWHERE, FROM_FILE, Origin, ScanRule


@dataclass(frozen=True, slots=True)
class SignedOn:
    """A person showed their badge and works at this station from now on."""

    kind: ClassVar[str] = "signed-on"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.BEFORE_A_RUN, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = ANYWHERE
    person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class ClockStepped:
    """The time of a scan does not go on from the scan before it at that station; the scan was judged all the same."""

    kind: ClassVar[str] = "clock-stepped"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = ANYWHERE.beside(ScanRule.NONE)
    before: str
    """Local time of the scan before."""
    at: str
    """Local time of this scan."""
    is_back: bool
    """True if the time ran back, false if it jumped ahead."""
    sentence: str
    """What the person was told."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One finding row."""
        yield finding_row(
            entry,
            finding=FindingCode.CLOCK_BACK if self.is_back else FindingCode.CLOCK_AHEAD,
            subject=str(entry.stamp.station),
            expected=f"a time after {self.before}",
            found=self.at,
            sentence=self.sentence,
        )


@dataclass(frozen=True, slots=True)
class ReasonNamed:
    """A reason of the plant got a card, which is scanned where an act asks why."""

    kind: ClassVar[str] = "reason-named"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = FROM_FILE
    reason_code: str
    """Of the card."""
    area: str
    """tool, press, lab, line, dock, process or assembly."""
    text: str
    acts: tuple[str, ...]
    """Words of the acts that it is a reason for."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One reason row, and one row per act."""
        yield Insert(
            "reason", {"code": self.reason_code, "area": self.area, "text": self.text, "seq": entry.seq}
        )
        for act in self.acts:
            yield Insert("reason_act", {"reason": self.reason_code, "act": act})


@dataclass(frozen=True, slots=True)
class SignedOff:
    """A person works at this station no more, and nobody else signed on yet."""

    kind: ClassVar[str] = "signed-off"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.BEFORE_A_RUN, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = ANYWHERE
    person: str
    by_itself: bool
    """True if the station signed them off, because nothing was scanned for as long as the plant says."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class ScanRefused:
    """A scan was refused; its raw characters lie packed beside the entry."""

    kind: ClassVar[str] = "scan-refused"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = ANYWHERE
    finding: str
    """The finding code, such as wrong-title."""
    subject: str
    """What was read, as far as it could be read."""
    expected: str
    found: str
    sentence: str
    """What the operator was told."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One finding row."""
        yield finding_row(
            entry,
            finding=self.finding,
            subject=self.subject,
            expected=self.expected,
            found=self.found,
            sentence=self.sentence,
        )
