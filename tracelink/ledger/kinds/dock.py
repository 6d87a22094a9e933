"""Entries of the dock: pallets are built, accepted, loaded; a shipment departs."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert, Update
from tracelink.ledger.closed_sets import PalletStatus, ShipmentStatus
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Things, on
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import finding_row
from tracelink.ledger.kinds.warehouse import Nested
from tracelink.ledger.origin import DOCK, Origin


@dataclass(frozen=True, slots=True)
class PalletOpened:
    """An empty pallet got its SSCC label."""

    kind: ClassVar[str] = "pallet-opened"
    export: ClassVar[ExportRule] = ExportRule(on("pallet", Things.PALLETS))
    origin: ClassVar[Origin] = DOCK
    pallet: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One pallet row, open at this station."""
        row = {
            "sscc": self.pallet,
            "status": PalletStatus.OPEN,
            "station": entry.stamp.station,
            "seq": entry.seq,
        }
        yield Insert("pallet", row)


@dataclass(frozen=True, slots=True)
class CartonPalletised:
    """A closed carton was put on the open pallet."""

    kind: ClassVar[str] = "carton-palletised"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS))
    origin: ClassVar[Origin] = DOCK
    carton: str
    pallet: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton has a parent."""
        yield _nest(self.carton, self.pallet, entry)


@dataclass(frozen=True, slots=True)
class PalletClosed:
    """The pallet was wrapped with this many cartons on it."""

    kind: ClassVar[str] = "pallet-closed"
    export: ClassVar[ExportRule] = ExportRule(on("pallet", Things.PALLETS))
    origin: ClassVar[Origin] = DOCK
    pallet: str
    cartons: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The pallet's status."""
        yield Update("pallet", {"sscc": self.pallet}, {"status": PalletStatus.CLOSED})


@dataclass(frozen=True, slots=True)
class PalletAccepted:
    """The warehouse took the pallet in; every lot on it was released at that time."""

    kind: ClassVar[str] = "pallet-accepted"
    export: ClassVar[ExportRule] = ExportRule(on("pallet", Things.PALLETS))
    origin: ClassVar[Origin] = DOCK
    pallet: str
    lots: tuple[str, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The pallet's status."""
        yield Update("pallet", {"sscc": self.pallet}, {"status": PalletStatus.ACCEPTED})


@dataclass(frozen=True, slots=True)
class ShipmentOpened:
    """Loading for an order began."""

    kind: ClassVar[str] = "shipment-opened"
    export: ClassVar[ExportRule] = ExportRule(
        on("shipment", Things.SHIPMENTS), no_event=NoEvent.PART_OF_AN_ACT
    )
    origin: ClassVar[Origin] = DOCK
    shipment: str
    order: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One shipment row, loading at this station."""
        yield Insert(
            "shipment",
            {
                "code": self.shipment,
                "order_code": self.order,
                "status": ShipmentStatus.LOADING,
                "station": entry.stamp.station,
                "departed_at": None,
                "seq": entry.seq,
            },
        )


@dataclass(frozen=True, slots=True)
class ShipmentReordered:
    """A shipment on which nothing is loaded yet was opened for the wrong order."""

    kind: ClassVar[str] = "shipment-reordered"
    export: ClassVar[ExportRule] = ExportRule(
        on("shipment", Things.SHIPMENTS), no_event=NoEvent.PART_OF_AN_ACT
    )
    origin: ClassVar[Origin] = DOCK
    shipment: str
    order: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The shipment's order."""
        yield Update("shipment", {"code": self.shipment}, {"order_code": self.order})


@dataclass(frozen=True, slots=True)
class PalletLoaded:
    """An accepted pallet went onto the vehicle."""

    kind: ClassVar[str] = "pallet-loaded"
    export: ClassVar[ExportRule] = ExportRule(on("pallet", Things.PALLETS))
    origin: ClassVar[Origin] = DOCK
    pallet: str
    shipment: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The pallet has a parent and is on its way."""
        yield _nest(self.pallet, self.shipment, entry)
        yield Update("pallet", {"sscc": self.pallet}, {"status": PalletStatus.LOADED})


@dataclass(frozen=True, slots=True)
class ShipmentDeparted:
    """The vehicle left with these pallets."""

    kind: ClassVar[str] = "shipment-departed"
    export: ClassVar[ExportRule] = ExportRule(on("shipment", Things.SHIPMENTS))
    origin: ClassVar[Origin] = DOCK
    shipment: str
    pallets: tuple[str, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Shipment and pallets are shipped."""
        left = {"departed_at": entry.stamp.event_time, "departed_seq": entry.seq}
        yield Update("shipment", {"code": self.shipment}, {"status": ShipmentStatus.SHIPPED, **left})
        for pallet in self.pallets:
            yield Update("pallet", {"sscc": pallet}, {"status": PalletStatus.SHIPPED})


@dataclass(frozen=True, slots=True)
class PalletCounted:
    """Somebody counted the cartons on a pallet. What the records have on it stays as it was."""

    kind: ClassVar[str] = "pallet-counted"
    export: ClassVar[ExportRule] = ExportRule(on("pallet", Things.PALLETS), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = DOCK
    pallet: str
    recorded: int
    """Cartons on it by the records."""
    counted: int
    sentence: str
    """What the person was told."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A finding when it differs."""
        if self.counted != self.recorded:
            yield finding_row(
                entry,
                finding=FindingCode.COUNT_DIFFERS,
                subject=self.pallet,
                expected=str(self.recorded),
                found=str(self.counted),
                sentence=self.sentence,
            )


@dataclass(frozen=True, slots=True)
class LoadCorrected:
    """Two people put right what a shipment that has left carried: a thing stayed here, or it went unrecorded.

    What happened is told as of the departure: what went is in the shipment from then on, and what stayed was out of it.
    """

    kind: ClassVar[str] = "load-corrected"
    export: ClassVar[ExportRule] = ExportRule(
        on("thing", Things.CARTONS, Things.PALLETS) + on("shipment", Things.SHIPMENTS),
        tables=(BundleTable.DEVIATIONS,),
    )
    origin: ClassVar[Origin] = DOCK.needs_reason().needs_second("second_person")
    shipment: str
    departed: int
    """The entry of its departure."""
    thing: str
    what: str
    """pallet or carton."""
    went: bool
    """True if it went with the shipment; False if it stayed here."""
    left: Nested | None
    """Where the records had it: in the shipment, on a pallet of it, or in a location; None if nowhere."""
    second_person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The thing is in the shipment since it left, or was never in it."""
        if self.left is not None:
            key = {"child": self.left.child, "opened_seq": self.left.opened}
            yield Update("nesting", key, {"closed_seq": self.departed})
        if self.went:
            row = {"child": self.thing, "parent": self.shipment}
            yield Insert("nesting", {**row, "opened_seq": self.departed, "closed_seq": None})
        if self.what == "pallet":
            status = PalletStatus.SHIPPED if self.went else PalletStatus.ACCEPTED
            yield Update("pallet", {"sscc": self.thing}, {"status": status})


def _nest(child: str, parent: str, entry: Entry) -> Insert:
    return Insert("nesting", {"child": child, "parent": parent, "opened_seq": entry.seq, "closed_seq": None})
