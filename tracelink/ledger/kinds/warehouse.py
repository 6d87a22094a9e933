"""Entries of the warehouse: rebuilt pallets, broken cartons, places, picks, departures.

A nesting is named by its child and the entry that opened it, so that a projection can end it without reading.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.closed_sets import CartonStatus, PalletStatus
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, Moved, finding_row
from tracelink.ledger.origin import DOCK, FROM_FILE, Origin


@dataclass(frozen=True, slots=True)
class Nested:
    """A child in its parent."""

    child: str
    parent: str
    opened: int
    """The entry that put it there."""

    def end(self, entry: Entry) -> Update:
        """The child is in that parent no more."""
        key = {"child": self.child, "opened_seq": self.opened}
        return Update("nesting", key, {"closed_seq": entry.seq})


@dataclass(frozen=True, slots=True)
class LocationNamed:
    """A place in the warehouse got its code."""

    kind: ClassVar[str] = "location-named"
    export: ClassVar[ExportRule] = ExportRule(
        on("location", Things.LOCATIONS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    location: str
    name: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One location row."""
        yield Insert("location", {"code": self.location, "name": self.name, "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class PutAway:
    """A pallet or a loose carton was put in a location, out of another one if it stood in one."""

    kind: ClassVar[str] = "put-away"
    export: ClassVar[ExportRule] = ExportRule(on("thing", Things.CARTONS, Things.PALLETS))
    origin: ClassVar[Origin] = DOCK
    thing: str
    location: str
    left: Nested | None

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The thing stands in the location."""
        if self.left is not None:
            yield self.left.end(entry)
        yield _nest(self.thing, self.location, entry)


@dataclass(frozen=True, slots=True)
class PlaceLeft:
    """A pallet or a carton was taken from its location, to go on a pallet or a vehicle."""

    kind: ClassVar[str] = "place-left"
    export: ClassVar[ExportRule] = ExportRule(on("left.child", Things.CARTONS, Things.PALLETS))
    origin: ClassVar[Origin] = DOCK
    left: Nested

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The thing stands in no location."""
        yield self.left.end(entry)


@dataclass(frozen=True, slots=True)
class CartonUnstacked:
    """A carton was taken off a pallet; the entry's reason says why."""

    kind: ClassVar[str] = "carton-unstacked"
    export: ClassVar[ExportRule] = ExportRule(
        on("left.child", Things.CARTONS, Things.PALLETS), tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = DOCK.needs_reason()
    left: Nested

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton has no parent."""
        yield self.left.end(entry)


@dataclass(frozen=True, slots=True)
class PalletReopened:
    """A closed or accepted pallet is open again; its acceptance, if it had one, is gone."""

    kind: ClassVar[str] = "pallet-reopened"
    export: ClassVar[ExportRule] = ExportRule(on("pallet", Things.PALLETS), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = DOCK.needs_reason()
    pallet: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The pallet is open at this station."""
        values = {"status": PalletStatus.OPEN, "station": entry.stamp.station}
        yield Update("pallet", {"sscc": self.pallet}, values)


@dataclass(frozen=True, slots=True)
class CartonBroken:
    """A carton was found open or damaged: what is in it is from now on a possibility, not a claim."""

    kind: ClassVar[str] = "carton-broken"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = DOCK.needs_reason()
    carton: str
    left: Nested | None

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton is broken and stands nowhere; its count stays."""
        if self.left is not None:
            yield self.left.end(entry)
        yield Update("carton", {"sscc": self.carton}, {"status": CartonStatus.BROKEN})


@dataclass(frozen=True, slots=True)
class CartonRepacked:
    """A broken carton was counted and sealed again; what it was found not to hold is lost."""

    kind: ClassVar[str] = "carton-repacked"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = DOCK.needs_reason()
    carton: str
    recorded: int
    counted: int
    moves: tuple[Moved, ...]
    batch: str | None
    """Sleeve batch of what is missing, None if nothing is."""
    items: tuple[str, ...]
    """Kit items of which as many are missing."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton is closed with the units counted; discs, sleeves and items that are missing are in it no more."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        if self.counted != self.recorded:
            by = self.counted - self.recorded
            yield Increase("carton", {"sscc": self.carton}, "units", by)
            yield Increase("carton_sleeve", {"carton": self.carton, "batch": self.batch}, "units", by)
            for item in self.items:
                yield Increase("carton_item", {"carton": self.carton, "item": item}, "quantity", by)
        yield Update("carton", {"sscc": self.carton}, {"status": CartonStatus.CLOSED})


@dataclass(frozen=True, slots=True)
class CartonOpenChecked:
    """A sealed carton was opened to compare what is in it with the record, and sealed again."""

    kind: ClassVar[str] = "carton-open-checked"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = DOCK
    carton: str
    recorded: int
    counted: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per check; a difference is a finding."""
        row = {"carton": self.carton, "recorded": self.recorded, "counted": self.counted}
        yield Insert("aggregation_check", {"seq": entry.seq, **row})
        if self.counted == self.recorded:
            return
        yield finding_row(
            entry,
            finding=FindingCode.COUNT_DIFFERS,
            subject=self.carton,
            expected=str(self.recorded),
            found=str(self.counted),
            sentence=f"Carton {self.carton} was opened: it holds {self.counted}, "
            f"the record says {self.recorded} ({self.counted - self.recorded:+d}).",
        )


@dataclass(frozen=True, slots=True)
class CartonPicked:
    """A loose carton went onto the vehicle, its label scanned twice."""

    kind: ClassVar[str] = "carton-picked"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS))
    origin: ClassVar[Origin] = DOCK
    carton: str
    shipment: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton has a parent."""
        yield _nest(self.carton, self.shipment, entry)


@dataclass(frozen=True, slots=True)
class Unloaded:
    """A pallet or a carton came off a vehicle that has not left; the entry's reason says why."""

    kind: ClassVar[str] = "unloaded"
    export: ClassVar[ExportRule] = ExportRule(
        on("left.child", Things.CARTONS, Things.PALLETS), tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = DOCK.needs_reason()
    what: str
    """pallet or carton."""
    left: Nested

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The thing is in stock again."""
        yield self.left.end(entry)
        if self.what == "pallet":
            yield Update("pallet", {"sscc": self.left.child}, {"status": PalletStatus.ACCEPTED})


@dataclass(frozen=True, slots=True)
class DriverChecked:
    """The driver looked at what is on the vehicle and gave their name."""

    kind: ClassVar[str] = "driver-checked"
    export: ClassVar[ExportRule] = ExportRule(
        on("shipment", Things.SHIPMENTS), no_event=NoEvent.PART_OF_AN_ACT, holds_name=True
    )
    origin: ClassVar[Origin] = DOCK
    shipment: str
    name: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per check."""
        row = {"seq": entry.seq, "shipment": self.shipment, "name": self.name}
        yield Insert("driver_check", row)


@dataclass(frozen=True, slots=True)
class LoadShort:
    """Somebody with the role quality agreed to a shipment outside the order's tolerance."""

    kind: ClassVar[str] = "load-agreed"
    export: ClassVar[ExportRule] = ExportRule(
        on("shipment", Things.SHIPMENTS), no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = DOCK.needs_reason()
    shipment: str
    ordered: int
    loaded: int
    """Units on this vehicle and on those that left for the order before."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables: it stands beside the departure in the journal."""
        yield from ()


def _nest(child: str, parent: str, entry: Entry) -> Insert:
    return Insert("nesting", {"child": child, "parent": parent, "opened_seq": entry.seq, "closed_seq": None})


KINDS: tuple[type[EntryBody], ...] = (
    LocationNamed,
    PutAway,
    PlaceLeft,
    CartonUnstacked,
    PalletReopened,
    CartonBroken,
    CartonRepacked,
    CartonOpenChecked,
    CartonPicked,
    Unloaded,
    DriverChecked,
    LoadShort,
)
"""The kinds of this module, for the registry."""
