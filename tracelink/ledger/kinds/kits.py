"""Entries that tell a packing line what goes into a unit, and where to look when it is cleared."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.origin import FROM_FILE, Origin


@dataclass(frozen=True, slots=True)
class ItemMade:
    """A thing with a code of its own that goes into sleeves: an insert, a download card, a jacket.

    Every variant, such as a superseded print or another language, is an item of its own.
    """

    kind: ClassVar[str] = "item-made"
    export: ClassVar[ExportRule] = ExportRule(
        on("gtin", Things.GTINS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    item: str
    name: str
    """What the floor calls it, variant included."""
    gtin: str
    """The product it was made for."""
    status: str
    """current or superseded."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One item row."""
        row = {"code": self.item, "name": self.name, "gtin": self.gtin, "status": self.status}
        yield Insert("kit_item", {**row, "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class KitSlot:
    """One piece of a kit; exactly one of disc and item is set, or neither: then it is only prompted."""

    disc: int | None
    item: str | None
    """Code of the item to scan."""
    name: str
    """What the person is told; empty for a disc."""


@dataclass(frozen=True, slots=True)
class KitDefined:
    """What goes into a unit of a product, in order; a product without a kit is its discs alone."""

    kind: ClassVar[str] = "kit-defined"
    export: ClassVar[ExportRule] = ExportRule(
        on("gtin", Things.GTINS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    gtin: str
    pieces: tuple[KitSlot, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per piece."""
        for place, piece in enumerate(self.pieces, 1):
            row = {"gtin": self.gtin, "place": place, "disc": piece.disc}
            yield Insert("kit_piece", {**row, "item": piece.item, "name": piece.name})


@dataclass(frozen=True, slots=True)
class ClearanceListed:
    """Where two people look before a line is cleared."""

    kind: ClassVar[str] = "clearance-listed"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.ALWAYS, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = FROM_FILE
    areas: tuple[str, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per area."""
        for line, area in enumerate(self.areas, 1):
            yield Insert("clearance_area", {"line": line, "name": area})
