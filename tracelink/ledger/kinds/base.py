"""What every kind of entry has, and the movement of discs that many of them share."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar, Protocol

from tracelink.ledger.changes import Change, Delete, Increase, Insert
from tracelink.ledger.closed_sets import DiscPlace, MovementSense
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.origin import Origin


def numbered_label(gtin: str, number: str) -> str:
    """Return the text by which a numbered sleeve is known: its GS1 elements (01) and (21)."""
    return f"(01){gtin:0>14}(21){number}"


class EntryBody(Protocol):
    """A body dataclass: `kind` is its name in the journal, `changes` what it does to the tables."""

    kind: ClassVar[str]
    export: ClassVar[ExportRule]
    """What audit bundles and EPCIS documents must know of it."""
    origin: ClassVar[Origin]
    """Where it can come from."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Yield the changes that this body makes, in the order they must be carried out."""
        ...


@dataclass(frozen=True, slots=True)
class Moved:
    """Discs of one lot that left one place for another (double entry: no disc appears or vanishes)."""

    lot: str
    quantity: int
    source: str
    target: str
    first: int | None
    """First stroke of the range they lie in, None if not known."""
    last: int | None

    def changes(self, entry: Entry, line: int, sense: MovementSense | None = None) -> Iterator[Change]:
        """Yield the movement and its two sides; `line` numbers the movements of one entry."""
        if self.source != DiscPlace.CUSTOMERS:
            yield Increase("stock", {"place": self.source, "lot": self.lot}, "quantity", -self.quantity)
        yield Increase("stock", {"place": self.target, "lot": self.lot}, "quantity", self.quantity)
        yield Insert(
            "movement",
            {
                "seq": entry.seq,
                "line": line,
                "lot": self.lot,
                "quantity": self.quantity,
                "source": self.source,
                "target": self.target,
                "first": self.first,
                "last": self.last,
                "at": entry.stamp.event_time,
                **({} if sense is None else {"sense": sense}),
            },
        )


def sleeve_out(carton: str, batch: str, gtin: str, number: str | None) -> Iterator[Change]:
    """Yield what takes one finished unit out of a carton, its discs apart.

    Args:
        carton: the carton.
        batch: the batch of its sleeve.
        gtin: its product.
        number: the number of its sleeve, None for an edition without numbers.
    """
    yield Increase("carton", {"sscc": carton}, "units", -1)
    yield Increase("carton_sleeve", {"carton": carton, "batch": batch}, "units", -1)
    if number is not None:
        yield Delete("numbered_sleeve", {"gtin": gtin, "number": number})


def finding_row(  # noqa: PLR0913 - a finding is these six things
    entry: Entry, *, finding: FindingCode | str, subject: str, expected: str, found: str, sentence: str
) -> Insert:
    """Return the row of a finding: what is said of it, and where, when and by whom from the entry.

    Args:
        entry: the entry that tells of it.
        finding: its code; an old entry may hold one that is not in the list any more.
        subject: what it is about, by its code.
        expected: what should have been.
        found: what was.
        sentence: what a person is told.
    """
    return Insert(
        "finding",
        {
            "seq": entry.seq,
            "finding": str(finding),
            "station": entry.stamp.station,
            "person": entry.stamp.person,
            "subject": subject,
            "expected": expected,
            "found": found,
            "sentence": sentence,
            "at": entry.stamp.event_time,
        },
    )
