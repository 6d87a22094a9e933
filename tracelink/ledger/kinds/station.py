"""Entries any station can write: somebody signed on, a scan was refused."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken
from tracelink.ledger.kinds.base import finding_row
from tracelink.ledger.origin import ANYWHERE, Origin


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
