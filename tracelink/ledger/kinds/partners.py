"""Entries about documents of suppliers and customers: the document, and each of its events with what became of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.closed_sets import PartnerVerdict
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, finding_row
from tracelink.ledger.origin import OF_PARTNERS, Origin

NOT_TAKEN = frozenset({PartnerVerdict.REFUSED, PartnerVerdict.CHANGED, PartnerVerdict.WITHDRAWN})
"""Verdicts that are findings."""


@dataclass(frozen=True, slots=True)
class PartnerDocument:
    """A document of a supplier or customer was read."""

    kind: ClassVar[str] = "partner-document"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.WITH_ANOTHER, no_event=NoEvent.OF_ITS_SENDER)
    origin: ClassVar[Origin] = OF_PARTNERS
    sha256: str
    """SHA-256 of its bytes, hexadecimal: the document itself is kept by whoever read it in."""
    file: str
    """The name it came under, without its folder."""
    size: int
    """Bytes."""
    events: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        row = {"sha256": self.sha256, "file": self.file, "size": self.size, "events": self.events}
        yield Insert("partner_document", {"seq": entry.seq, **row})


@dataclass(frozen=True, slots=True)
class PartnerThing:
    """One thing that an event names."""

    uri: str
    code: str | None
    """Plant code or SSCC; None if the ledger knows no such name."""
    quantity: str | None
    """Number, as written, so that no digit is lost; None if the event names none."""
    uom: str | None
    """Unit, a code of UN/CEFACT Recommendation 20; None for counted pieces."""


@dataclass(frozen=True, slots=True)
class PartnerEvent:
    """One event of a document, and what became of it; its JSON text lies packed beside the entry."""

    kind: ClassVar[str] = "partner-event"
    export: ClassVar[ExportRule] = ExportRule(
        on("things[].code", Things.CARTONS, Things.PALLETS, Things.MATERIALS, Things.BATCHES),
        no_event=NoEvent.OF_ITS_SENDER,
        tables=(BundleTable.DEVIATIONS,),
    )
    origin: ClassVar[Origin] = OF_PARTNERS
    document: str
    """SHA-256 of the document."""
    place: int
    """In the document's list, from 1."""
    event_id: str
    """As given; empty if it has none."""
    content: str
    """SHA-256 of what it says, hexadecimal."""
    at: str
    """Time of the event, as written."""
    verdict: str
    """booked, noted, refused, changed (its number is known with other content) or withdrawn (declared wrong)."""
    sentence: str
    things: tuple[PartnerThing, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row of the event, one per thing, and a finding if it was not taken."""
        yield Insert(
            "partner_event",
            {
                "seq": entry.seq,
                "document": self.document,
                "place": self.place,
                "event_id": self.event_id,
                "content": self.content,
                "at": self.at,
                "verdict": self.verdict,
                "sentence": self.sentence,
            },
        )
        for line, thing in enumerate(self.things):
            row = {"uri": thing.uri, "code": thing.code, "quantity": thing.quantity, "uom": thing.uom}
            yield Insert("partner_thing", {"seq": entry.seq, "line": line, **row})
        if self.verdict in NOT_TAKEN:
            yield finding_row(
                entry,
                finding=FindingCode.PARTNER_EVENT_REFUSED,
                subject=self.event_id or f"event {self.place}",
                expected="an event that can be booked",
                found=self.verdict,
                sentence=self.sentence,
            )


KINDS: tuple[type[EntryBody], ...] = (PartnerDocument, PartnerEvent)
"""The kinds of this module, for the registry."""
