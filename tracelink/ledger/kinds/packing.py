"""Entries of the packing line beyond disc against sleeve: checks, hold-back, corrections, opened cartons."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Delete, Increase, Insert, Update
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.kinds import kits
from tracelink.ledger.kinds.base import EntryBody, Moved, numbered_label
from tracelink.ledger.kinds.line import InHand


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
    carton: str
    rechecked: int
    taken_out: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The row goes."""
        yield Delete("hold_back", {"station": entry.stamp.station})


@dataclass(frozen=True, slots=True)
class UnitTakenOut:
    """One finished unit left the open carton for good; the entry's reason says why."""

    kind: ClassVar[str] = "unit-taken-out"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.DEVIATIONS,))
    carton: str
    gtin: str
    batch: str
    moves: tuple[Moved, ...]
    """Carton to scrap: one line a lot."""
    items: tuple[ItemCount, ...]
    number: str | None
    held_back: bool

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Discs, sleeve and items leave the carton; the sleeve is destroyed, its number void."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        yield from _sleeve_out(self.carton, self.batch, self.gtin, self.number)
        for each in self.items:
            yield Increase("carton_item", {"carton": self.carton, "item": each.item}, "quantity", -each.count)
        label = {"seq": entry.seq, "subject": self.batch, "fate": "destroyed", "quantity": 1}
        yield Insert("label_count", label)
        if self.number is not None:
            subject = numbered_label(self.gtin, self.number)
            yield Insert("void_label", {"subject": subject, "replaced_by": None, "seq": entry.seq})
        if self.held_back:
            yield Increase("hold_back", {"station": entry.stamp.station}, "left", -1)


def _sleeve_out(carton: str, batch: str, gtin: str, number: str | None) -> Iterator[Change]:
    yield Increase("carton", {"sscc": carton}, "units", -1)
    yield Increase("carton_sleeve", {"carton": carton, "batch": batch}, "units", -1)
    if number is not None:
        yield Delete("numbered_sleeve", {"gtin": gtin, "number": number})


@dataclass(frozen=True, slots=True)
class MatchUndone:
    """The last match was taken back; the unit is in hand again as it was before it."""

    kind: ClassVar[str] = "match-undone"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.DEVIATIONS,))
    carton: str
    gtin: str
    batch: str
    moves: tuple[Moved, ...]
    """Carton to spindle; empty when the last piece was an item."""
    item: str | None
    """The item taken out again."""
    finished: bool
    """Whether that match had finished a unit."""
    freed: str | None
    """The number of that unit, free again."""
    filling: str | None
    """Number of the sleeve in hand, None if it is empty again."""
    unfinished: tuple[InHand, ...]
    """The discs still in that sleeve."""
    items: int
    """The items still in it."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """What the match did, backwards."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        if self.item is not None:
            yield Increase("carton_item", {"carton": self.carton, "item": self.item}, "quantity", -1)
        if self.finished:
            yield from _sleeve_out(self.carton, self.batch, self.gtin, self.freed)


@dataclass(frozen=True, slots=True)
class RejectUndone:
    """A disc that was rejected by mistake is on its spindle again."""

    kind: ClassVar[str] = "reject-undone"
    export: ClassVar[ExportRule] = ExportRule(on("moved.lot", Things.WHOLE), tables=(BundleTable.DEVIATIONS,))
    moved: Moved
    """Scrap to spindle."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The disc moves back."""
        yield from self.moved.changes(entry, 0)


@dataclass(frozen=True, slots=True)
class CartonUnopened:
    """A carton label that was scanned by mistake is free again; nothing was packed under it."""

    kind: ClassVar[str] = "carton-unopened"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS))
    carton: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton row goes."""
        yield Delete("carton", {"sscc": self.carton})


@dataclass(frozen=True, slots=True)
class ManualEntry:
    """Keyed text and a second person stood in for a code that would not read."""

    kind: ClassVar[str] = "manual-entry"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
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
class CartonReopened:
    """A sealed carton was opened again; the entry's reason says why."""

    kind: ClassVar[str] = "carton-reopened"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.DEVIATIONS,))
    carton: str
    units: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Open, at this station."""
        values = {"status": "open", "station": entry.stamp.station}
        yield Update("carton", {"sscc": self.carton}, values)


@dataclass(frozen=True, slots=True)
class BatchUnits:
    """Units in sleeves of one batch."""

    batch: str
    units: int


@dataclass(frozen=True, slots=True)
class CartonsMerged:
    """All that was in a part carton went into the open one; which discs of a lot is not recorded."""

    kind: ClassVar[str] = "cartons-merged"
    export: ClassVar[ExportRule] = ExportRule(
        on("carton", Things.CARTONS) + on("source", Things.CARTONS), tables=(BundleTable.DEVIATIONS,)
    )
    source: str
    carton: str
    gtin: str
    units: int
    moves: tuple[Moved, ...]
    """Carton to carton, one line a lot."""
    batches: tuple[BatchUnits, ...]
    items: tuple[ItemCount, ...]
    numbers: tuple[str, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Discs, sleeves, items and numbers change cartons; the source stays closed and is empty."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        for carton, sign in ((self.source, -1), (self.carton, 1)):
            yield Increase("carton", {"sscc": carton}, "units", sign * self.units)
            for part in self.batches:
                key = {"carton": carton, "batch": part.batch}
                yield Increase("carton_sleeve", key, "units", sign * part.units)
            for each in self.items:
                key = {"carton": carton, "item": each.item}
                yield Increase("carton_item", key, "quantity", sign * each.count)
        for number in self.numbers:
            key = {"gtin": self.gtin, "number": number}
            yield Update("numbered_sleeve", key, {"carton": self.carton})


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
    UnitTakenOut,
    MatchUndone,
    RejectUndone,
    CartonUnopened,
    ManualEntry,
    CartonReopened,
    CartonsMerged,
)
"""The kinds of this module, for the registry."""
