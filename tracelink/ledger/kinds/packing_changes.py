"""Entries that change what was packed: a unit taken out, a match undone, cartons opened again and merged."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Delete, Increase, Insert, Update
from tracelink.ledger.closed_sets import MovementSense
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, Things, on
from tracelink.ledger.kinds.base import EntryBody, Moved, numbered_label, sleeve_out
from tracelink.ledger.kinds.line import InHand
from tracelink.ledger.kinds.packing import ItemCount
from tracelink.ledger.origin import LINE, Origin


@dataclass(frozen=True, slots=True)
class UnitTakenOut:
    """One finished unit left the open carton for good; the entry's reason says why."""

    kind: ClassVar[str] = "unit-taken-out"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = LINE.needs_reason()
    carton: str
    gtin: str
    batch: str
    moves: tuple[Moved, ...]
    """Carton to scrap, or back onto a spindle: one line per lot and place."""
    items: tuple[ItemCount, ...]
    number: str | None
    held_back: bool

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Discs, sleeve and items leave the carton; the sleeve is destroyed, its number void."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        yield from sleeve_out(self.carton, self.batch, self.gtin, self.number)
        for each in self.items:
            yield Increase("carton_item", {"carton": self.carton, "item": each.item}, "quantity", -each.count)
        label = {"seq": entry.seq, "subject": self.batch, "fate": "destroyed", "quantity": 1}
        yield Insert("label_count", label)
        if self.number is not None:
            subject = numbered_label(self.gtin, self.number)
            yield Insert("void_label", {"subject": subject, "replaced_by": None, "seq": entry.seq})
        if self.held_back:
            yield Increase("hold_back", {"station": entry.stamp.station}, "left", -1)


@dataclass(frozen=True, slots=True)
class MatchUndone:
    """The last match was taken back; the unit is in hand again as it was before it."""

    kind: ClassVar[str] = "match-undone"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = LINE
    carton: str
    gtin: str
    batch: str
    moves: tuple[Moved, ...]
    """Carton to spindle; empty when the last piece was an item."""
    item: str | None
    """The item taken out again."""
    finished: bool
    """True if that match had finished a unit."""
    freed: str | None
    """The number of that unit, free again."""
    filling: str | None
    """Number of the sleeve in hand, None if it is empty again."""
    unfinished: tuple[InHand, ...]
    """The discs still in that sleeve."""
    items: int
    """The items still in it."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """What the match did, backwards: the very discs of it."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line, MovementSense.TAKEN_BACK)
        if self.item is not None:
            yield Increase("carton_item", {"carton": self.carton, "item": self.item}, "quantity", -1)
        if self.finished:
            yield from sleeve_out(self.carton, self.batch, self.gtin, self.freed)


@dataclass(frozen=True, slots=True)
class RejectUndone:
    """A disc that was rejected by mistake is on its spindle again."""

    kind: ClassVar[str] = "reject-undone"
    export: ClassVar[ExportRule] = ExportRule(on("moved.lot", Things.WHOLE), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = LINE
    moved: Moved
    """Scrap to spindle."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """That very disc moves back."""
        yield from self.moved.changes(entry, 0, MovementSense.TAKEN_BACK)


@dataclass(frozen=True, slots=True)
class CartonUnopened:
    """A carton label that was scanned by mistake is free again; nothing was packed under it."""

    kind: ClassVar[str] = "carton-unopened"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS))
    origin: ClassVar[Origin] = LINE
    carton: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton row goes."""
        yield Delete("carton", {"sscc": self.carton})


@dataclass(frozen=True, slots=True)
class CartonReopened:
    """A sealed carton was opened again; the entry's reason says why."""

    kind: ClassVar[str] = "carton-reopened"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = LINE.needs_reason()
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
    origin: ClassVar[Origin] = LINE.needs_reason()
    source: str
    carton: str
    gtin: str
    units: int
    moves: tuple[Moved, ...]
    """Carton to carton, one line per lot."""
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
    UnitTakenOut,
    MatchUndone,
    RejectUndone,
    CartonUnopened,
    CartonReopened,
    CartonsMerged,
)
"""The kinds of this module, for the registry."""
