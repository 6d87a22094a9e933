"""Entries of the label store: what became of printed labels and numbers, from issue to use or destruction."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.origin import OF_LABELS, Origin

FATES = ("printed", "spoiled", "returned", "destroyed", "samples")
"""What can be counted of a batch of labels, apart from those that stations see being used."""


@dataclass(frozen=True, slots=True)
class NumbersIssued:
    """Numbers of a numbered edition that follow no order were given out for a sleeve batch."""

    kind: ClassVar[str] = "numbers-issued"
    export: ClassVar[ExportRule] = ExportRule(on("batch", Things.BATCHES), no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = OF_LABELS
    batch: str
    gtin: str
    numbers: tuple[str, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per number."""
        for number in self.numbers:
            row = {"gtin": self.gtin, "number": number, "batch": self.batch, "seq": entry.seq}
            yield Insert("issued_number", row)


@dataclass(frozen=True, slots=True)
class LabelsCounted:
    """So many labels of a batch were printed, spoiled, returned, destroyed or kept as samples."""

    kind: ClassVar[str] = "labels-counted"
    export: ClassVar[ExportRule] = ExportRule(
        on("subject", Things.BATCHES, Things.MATERIALS), no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = OF_LABELS
    subject: str
    """Sleeve batch, label lot, or the first SSCC of a block."""
    fate: str
    quantity: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per count."""
        row = {"seq": entry.seq, "subject": self.subject, "fate": self.fate, "quantity": self.quantity}
        yield Insert("label_count", row)


@dataclass(frozen=True, slots=True)
class SsccReturned:
    """SSCC labels of a block came back unused; their numbers are never given out again."""

    kind: ClassVar[str] = "sscc-returned"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.NEVER, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = OF_LABELS
    extension: str
    first_serial: int
    last_serial: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per range."""
        yield Insert(
            "sscc_return",
            {
                "seq": entry.seq,
                "extension": self.extension,
                "first_serial": self.first_serial,
                "last_serial": self.last_serial,
            },
        )


@dataclass(frozen=True, slots=True)
class LabelVoided:
    """A label that is not on anything yet is void; the entry's reason says why.

    A reprint carries a new number, so that the old label, should it turn up, is refused.
    """

    kind: ClassVar[str] = "label-voided"
    export: ClassVar[ExportRule] = ExportRule(
        on("subject", Things.CARTONS, Things.PALLETS) + on("replaced_by", Things.CARTONS, Things.PALLETS),
        no_event=NoEvent.SAYS_WHAT_IS,
        tables=(BundleTable.DEVIATIONS,),
    )
    origin: ClassVar[Origin] = OF_LABELS
    subject: str
    """SSCC, or a numbered sleeve by its GS1 elements (01) and (21)."""
    replaced_by: str | None

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per void label."""
        row = {"subject": self.subject, "replaced_by": self.replaced_by, "seq": entry.seq}
        yield Insert("void_label", row)
