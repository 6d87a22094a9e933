"""Entries any station can write: somebody signed on, a scan was refused."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry


@dataclass(frozen=True, slots=True)
class SignedOn:
    """A person showed their badge and works at this station from now on."""

    kind: ClassVar[str] = "signed-on"
    person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class ScanRefused:
    """A scan was refused; its raw characters lie packed beside the entry."""

    kind: ClassVar[str] = "scan-refused"
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
        yield Insert(
            "finding",
            {
                "seq": entry.seq,
                "finding": self.finding,
                "station": entry.stamp.station,
                "person": entry.stamp.person,
                "subject": self.subject,
                "expected": self.expected,
                "found": self.found,
                "sentence": self.sentence,
                "at": entry.stamp.event_time,
            },
        )
