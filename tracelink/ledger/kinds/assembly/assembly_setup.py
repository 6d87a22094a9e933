"""Entries that tell the ledger which kinds of parts there are, what things are built of, and the slots of machines."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.origin import FROM_FILE, Origin


@dataclass(frozen=True, slots=True)
class PartKindNamed:
    """A kind of part that is bought or built."""

    kind: ClassVar[str] = "part-kind-named"
    export: ClassVar[ExportRule] = ExportRule(
        on("part", Things.PARTS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    part: str
    """Part number."""
    what: str
    """What people call it."""
    sample: int | None
    """Pieces of each lot that are tested; None for all of them."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        row = {"number": self.part, "what": self.what, "sample": self.sample, "seq": entry.seq}
        yield Insert("part_kind", row)


@dataclass(frozen=True, slots=True)
class BilledPart:
    """A line of a bill of material."""

    part: str
    revision: str
    quantity: int
    """Pieces of it in one piece of what is built."""
    slot: str | None
    """Name of the slot of a placing machine; None for what is joined by hand."""


@dataclass(frozen=True, slots=True)
class BillNamed:
    """What something is built of, from a day on."""

    kind: ClassVar[str] = "bill-named"
    export: ClassVar[ExportRule] = ExportRule(
        on("part", Things.PARTS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    part: str
    """Part number of what is built."""
    version: str
    since: str
    """Day from which build orders are begun by it, YYYY-MM-DD."""
    gtin: str | None
    """The product, if it is packed and sold."""
    lines: tuple[BilledPart, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row, and one per line."""
        row = {"part": self.part, "version": self.version, "since": self.since, "gtin": self.gtin}
        yield Insert("bill", {**row, "seq": entry.seq})
        for line, one in enumerate(self.lines):
            yield Insert(
                "bill_line",
                {
                    "item": self.part,
                    "version": self.version,
                    "line": line,
                    "part": one.part,
                    "revision": one.revision,
                    "quantity": one.quantity,
                    "slot": one.slot,
                },
            )


@dataclass(frozen=True, slots=True)
class SlotNamed:
    """A place for a reel at a placing machine."""

    kind: ClassVar[str] = "slot-named"
    export: ClassVar[ExportRule] = ExportRule(
        on("slot", Things.PARTS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    slot: str
    station: str
    """The machine."""
    what: str
    """Its name on the machine, as bills of material have it."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        row = {"code": self.slot, "station": self.station, "what": self.what, "seq": entry.seq}
        yield Insert("slot", row)


KINDS = (PartKindNamed, BillNamed, SlotNamed)
