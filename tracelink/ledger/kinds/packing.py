"""Entries of the packing line beyond disc against sleeve: checks, hold-back, what was keyed by hand."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Delete, Increase, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.kinds import kits
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import LINE, WITNESSES, Origin, ScanRule


@dataclass(frozen=True, slots=True)
class ItemCount:
    """How many pieces of one kit item."""

    item: str
    count: int


@dataclass(frozen=True, slots=True)
class ItemsInserted:
    """The kit items of a run of matches; written right after the run's own entry.

    Counts are below zero when an unfinished unit was taken apart and its items came out again.
    """

    kind: ClassVar[str] = "items-inserted"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = LINE.beside(ScanRule.NONE)
    carton: str
    items: tuple[ItemCount, ...]
    unfinished: int
    """Items in the sleeve that has some of its pieces and not all."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton holds these items."""
        for each in self.items:
            yield Increase("carton_item", {"carton": self.carton, "item": each.item}, "quantity", each.count)


@dataclass(frozen=True, slots=True)
class LineChecked:
    """A second person confirmed the piece and the line: what was packed up to here counts as checked."""

    kind: ClassVar[str] = "line-checked"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.CLEARANCES,)
    )
    origin: ClassVar[Origin] = LINE.needs_second("checked_by", WITNESSES)
    checked_by: str
    units: int
    """Units packed since the check before."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class ShiftHandedOver:
    """The line went to the next shift as it stood; the entry's person left, `person` goes on."""

    kind: ClassVar[str] = "shift-handed-over"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = LINE
    person: str
    carton: str | None
    units: int
    """Units in the open carton."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class HoldBackOpened:
    """After a wrong read the units packed since the last good check are held back at the line."""

    kind: ClassVar[str] = "hold-back-opened"
    export: ClassVar[ExportRule] = ExportRule(
        on("carton", Things.CARTONS), no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = LINE
    carton: str
    units: int
    numbers: tuple[str, ...]
    """Their numbers; empty for editions without numbers."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row while the hold-back is open."""
        station = {"station": entry.stamp.station, "carton": self.carton, "seq": entry.seq}
        yield Insert("hold_back", {**station, "units": self.units, "left": self.units})


@dataclass(frozen=True, slots=True)
class UnitsRechecked:
    """Units held back were scanned again, piece by piece, and are right."""

    kind: ClassVar[str] = "units-rechecked"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = LINE.beside(ScanRule.SEALED)
    carton: str
    units: int
    numbers: tuple[str, ...]
    first_at: str
    last_at: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Fewer are left."""
        yield Increase("hold_back", {"station": entry.stamp.station}, "left", -self.units)


@dataclass(frozen=True, slots=True)
class HoldBackClosed:
    """Every unit held back was rechecked or taken out."""

    kind: ClassVar[str] = "hold-back-closed"
    export: ClassVar[ExportRule] = ExportRule(
        on("carton", Things.CARTONS), no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = LINE
    carton: str
    rechecked: int
    taken_out: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The row goes."""
        yield Delete("hold_back", {"station": entry.stamp.station})


@dataclass(frozen=True, slots=True)
class ManualEntry:
    """Keyed text and a second person stood in for a code that would not read."""

    kind: ClassVar[str] = "manual-entry"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = LINE.needs_second("checked_by", WITNESSES)
    waiting_for: str
    """disc, sleeve or item."""
    keyed: tuple[str, ...]
    """As it was keyed: both matrix numbers of a disc; the number or GTIN of a sleeve; the code of an item."""
    piece: int | None
    """Which disc it is, None for a sleeve or an item."""
    checked_by: str
    """The second person; the first is the entry's person."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing of its own: a sleeve's match follows as an entry."""
        yield from ()


@dataclass(frozen=True, slots=True)
class RecheckKeyed:
    """Keyed text and a second person stood in for a code of a unit that was checked again."""

    kind: ClassVar[str] = "recheck-keyed"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = LINE.needs_second("checked_by", WITNESSES)
    waiting_for: str
    """disc, sleeve or item."""
    keyed: tuple[str, ...]
    """As it was keyed, as for `ManualEntry`."""
    step: int
    """How many scans of the unit are right with it; 0 if that finished the unit."""
    number: str | None
    """Number of the unit's sleeve, None before it was read and for editions without numbers."""
    checked_by: str
    """The second person; the first is the entry's person."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing of its own: a unit that it finishes follows as an entry."""
        yield from ()


KINDS: tuple[type[EntryBody], ...] = (
    kits.ItemMade,
    kits.KitDefined,
    kits.ClearanceListed,
    ItemsInserted,
    LineChecked,
    ShiftHandedOver,
    HoldBackOpened,
    UnitsRechecked,
    HoldBackClosed,
    ManualEntry,
    RecheckKeyed,
)
"""The kinds of this module, for the registry."""
