"""Entries of the warehouse: rebuilt pallets, broken cartons, places, picks, returns, destruction.

A nesting is named by its child and the entry that opened it, so that a projection can end it without reading.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.entry import Entry
from tracelink.ledger.kinds.base import Kind, Moved

RETURNED = "returned"
"""The place of discs that came back from a customer, in the moment they come in."""

QUARANTINE = "quarantine"
"""The place of returned discs until somebody has inspected them."""

DESTROYED = "destroyed"
"""The place of discs destroyed before a witness."""

LOST = "lost"
"""The place of discs that a broken carton was found not to hold."""


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
    location: str
    name: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One location row."""
        yield Insert("location", {"code": self.location, "name": self.name, "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class PutAway:
    """A pallet or a loose carton was put in a location, out of another one if it stood in one."""

    kind: ClassVar[str] = "put-away"
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
    left: Nested

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The thing stands in no location."""
        yield self.left.end(entry)


@dataclass(frozen=True, slots=True)
class CartonUnstacked:
    """A carton was taken off a pallet; the entry's reason says why."""

    kind: ClassVar[str] = "carton-unstacked"
    left: Nested

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton has no parent."""
        yield self.left.end(entry)


@dataclass(frozen=True, slots=True)
class PalletReopened:
    """A closed or accepted pallet is open again; its acceptance, if it had one, is gone."""

    kind: ClassVar[str] = "pallet-reopened"
    pallet: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The pallet is open at this station."""
        values = {"status": "open", "station": entry.stamp.station}
        yield Update("pallet", {"sscc": self.pallet}, values)


@dataclass(frozen=True, slots=True)
class CartonBroken:
    """A carton was found open or damaged: what is in it is from now on a possibility, not a claim."""

    kind: ClassVar[str] = "carton-broken"
    carton: str
    left: Nested | None

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton is broken and stands nowhere; its count stays."""
        if self.left is not None:
            yield self.left.end(entry)
        yield Update("carton", {"sscc": self.carton}, {"status": "broken"})


@dataclass(frozen=True, slots=True)
class CartonRepacked:
    """A broken carton was counted and sealed again; what it was found not to hold is lost."""

    kind: ClassVar[str] = "carton-repacked"
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
        yield Update("carton", {"sscc": self.carton}, {"status": "closed"})


@dataclass(frozen=True, slots=True)
class CartonOpenChecked:
    """A sealed carton was opened to compare what is in it with the record, and sealed again."""

    kind: ClassVar[str] = "carton-open-checked"
    carton: str
    recorded: int
    counted: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row a check; a difference is a finding."""
        row = {"carton": self.carton, "recorded": self.recorded, "counted": self.counted}
        yield Insert("aggregation_check", {"seq": entry.seq, **row})
        if self.counted == self.recorded:
            return
        yield Insert(
            "finding",
            {
                "seq": entry.seq,
                "finding": "count-differs",
                "station": entry.stamp.station,
                "person": entry.stamp.person,
                "subject": self.carton,
                "expected": str(self.recorded),
                "found": str(self.counted),
                "sentence": f"Carton {self.carton} was opened: it holds {self.counted}, "
                f"the record says {self.recorded} ({self.counted - self.recorded:+d}).",
                "at": entry.stamp.event_time,
            },
        )


@dataclass(frozen=True, slots=True)
class Allocated:
    """A pallet or a loose carton that is kept for an order."""

    subject: str
    units: int
    made: int | None
    """The entry that allocated it, in a release; None in the allocation itself."""


@dataclass(frozen=True, slots=True)
class AllocationMade:
    """Pallets and cartons are kept for an order."""

    kind: ClassVar[str] = "allocation-made"
    order: str
    items: tuple[Allocated, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A row a thing."""
        for item in self.items:
            row = {"subject": item.subject, "order_code": self.order, "units": item.units}
            yield Insert("allocation", {**row, "seq": entry.seq, "released_seq": None})


@dataclass(frozen=True, slots=True)
class AllocationReleased:
    """What was kept for an order is free again."""

    kind: ClassVar[str] = "allocation-released"
    order: str
    items: tuple[Allocated, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The rows end."""
        for item in self.items:
            key = {"subject": item.subject, "seq": item.made}
            yield Update("allocation", key, {"released_seq": entry.seq})


@dataclass(frozen=True, slots=True)
class CartonPicked:
    """A loose carton went onto the vehicle, its label scanned twice."""

    kind: ClassVar[str] = "carton-picked"
    carton: str
    shipment: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton has a parent."""
        yield _nest(self.carton, self.shipment, entry)


@dataclass(frozen=True, slots=True)
class Unloaded:
    """A pallet or a carton came off a vehicle that has not left; the entry's reason says why."""

    kind: ClassVar[str] = "unloaded"
    what: str
    """pallet or carton."""
    left: Nested

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The thing is in stock again."""
        yield self.left.end(entry)
        if self.what == "pallet":
            yield Update("pallet", {"sscc": self.left.child}, {"status": "accepted"})


@dataclass(frozen=True, slots=True)
class DriverChecked:
    """The driver looked at what is on the vehicle and gave their name."""

    kind: ClassVar[str] = "driver-checked"
    shipment: str
    name: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row a check."""
        row = {"seq": entry.seq, "shipment": self.shipment, "name": self.name}
        yield Insert("driver_check", row)


@dataclass(frozen=True, slots=True)
class LoadShort:
    """Somebody with the role quality agreed to a shipment outside the order's tolerance."""

    kind: ClassVar[str] = "load-agreed"
    shipment: str
    ordered: int
    loaded: int
    """Units on this vehicle and on those that left for the order before."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables: it stands beside the departure in the journal."""
        yield from ()


@dataclass(frozen=True, slots=True)
class CartonReturned:
    """A carton came back from a customer with its label."""

    kind: ClassVar[str] = "carton-returned"
    number: int
    """Of the return line."""
    left: Nested
    moves: tuple[Moved, ...]
    """For each lot in it: carton to returned, and returned to quarantine."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The discs are in quarantine, the carton with them."""
        yield self.left.end(entry)
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        yield Update("carton", {"sscc": self.left.child}, {"status": "returned"})
        discs = sum(move.quantity for move in self.moves if move.target == RETURNED)
        row = {"number": self.number, "carton": self.left.child, "lot": None, "matrix": None, "mark": None}
        yield Insert("return_line", {**row, "discs": discs, "status": "quarantine", "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class DiscsReturned:
    """Discs came back without a carton label; matrix text and stamper mark were read off them.

    No movement: which shipped carton they were in is not known, so no place is made to give them up.
    """

    kind: ClassVar[str] = "discs-returned"
    number: int
    lot: str | None
    """The one lot that fits what was read; None if several or none fit."""
    matrix: str
    mark: str
    discs: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One return line, in quarantine."""
        row = {"number": self.number, "carton": None, "lot": self.lot, "matrix": self.matrix}
        status = {"status": "quarantine", "seq": entry.seq}
        yield Insert("return_line", {**row, "mark": self.mark, "discs": self.discs, **status})


@dataclass(frozen=True, slots=True)
class CartonRestocked:
    """A returned carton was inspected and is stock again; the entry's reason says on what grounds."""

    kind: ClassVar[str] = "carton-restocked"
    number: int
    carton: str
    moves: tuple[Moved, ...]
    """Quarantine to carton, a line a lot."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The discs are in the carton again."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        yield Update("carton", {"sscc": self.carton}, {"status": "closed"})
        yield Update("return_line", {"number": self.number}, {"status": "restocked"})


@dataclass(frozen=True, slots=True)
class Destroyed:
    """Discs were destroyed before a witness; the entry's reason says why."""

    kind: ClassVar[str] = "discs-destroyed"
    carton: str | None
    number: int | None
    """The return line, None for a broken carton that never left."""
    witness: str
    left: Nested | None
    """The location in which the carton stood."""
    moves: tuple[Moved, ...]
    """A line a lot; none for discs that no lot is known to have given up."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The discs are gone, and the carton with them."""
        if self.left is not None:
            yield self.left.end(entry)
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        if self.carton is not None:
            yield Update("carton", {"sscc": self.carton}, {"status": "destroyed"})
        if self.number is not None:
            yield Update("return_line", {"number": self.number}, {"status": "destroyed"})


def _nest(child: str, parent: str, entry: Entry) -> Insert:
    return Insert("nesting", {"child": child, "parent": parent, "opened_seq": entry.seq, "closed_seq": None})


KINDS: tuple[type[Kind], ...] = (
    LocationNamed,
    PutAway,
    PlaceLeft,
    CartonUnstacked,
    PalletReopened,
    CartonBroken,
    CartonRepacked,
    CartonOpenChecked,
    AllocationMade,
    AllocationReleased,
    CartonPicked,
    Unloaded,
    DriverChecked,
    LoadShort,
    CartonReturned,
    DiscsReturned,
    CartonRestocked,
    Destroyed,
)
"""The kinds of this module, for the registry."""
