"""Entries of what comes back: cartons, loose discs; inspection, destruction.

A carton that comes back keeps its identity. Loose discs left the plant in some shipped carton, and which one is
not known: they are moved in from the customers, a place outside the plant of which no stock is kept. The cartons
they were sent in keep their counts; balances and scopes say by how much those are too high together.

What came back waits in the place of its own return. Entries of older programs name one quarantine for all of them, but
each says of which return it is, and is read so.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert, Update
from tracelink.ledger.closed_sets import (
    CartonStatus,
    DiscPlace,
    ReturnStatus,
    return_place,
)
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, Things, on
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, Moved, finding_row
from tracelink.ledger.kinds.warehouse import Nested
from tracelink.ledger.origin import DOCK, DOCK_QUALITY, Origin


def _booked(number: int | None, moves: tuple[Moved, ...], entry: Entry) -> Iterator[Change]:
    """Yield movements of a return, each return a place of its own also where an older program named none."""
    for line, move in enumerate(moves):
        source, target = (
            return_place(number) if place == DiscPlace.QUARANTINE and number is not None else place
            for place in (move.source, move.target)
        )
        yield from replace(move, source=source, target=target).changes(entry, line)


@dataclass(frozen=True, slots=True)
class CartonReturned:
    """A carton came back from a customer with its label."""

    kind: ClassVar[str] = "carton-returned"
    export: ClassVar[ExportRule] = ExportRule(
        on("left.child", Things.CARTONS, Things.PALLETS), tables=(BundleTable.RETURNS,)
    )
    origin: ClassVar[Origin] = DOCK.needs_reason()
    number: int
    """Number of the return line, from 1."""
    left: Nested
    moves: tuple[Moved, ...]
    """For each lot in it: carton to returned, and returned to the place of the return."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The discs are in quarantine, the carton with them."""
        yield self.left.end(entry)
        yield from _booked(self.number, self.moves, entry)
        yield Update("carton", {"sscc": self.left.child}, {"status": CartonStatus.RETURNED})
        discs = sum(move.quantity for move in self.moves if move.target == DiscPlace.RETURNED)
        row = {"number": self.number, "carton": self.left.child, "lot": None, "matrix": None, "mark": None}
        yield Insert(
            "return_line", {**row, "discs": discs, "status": ReturnStatus.QUARANTINE, "seq": entry.seq}
        )


@dataclass(frozen=True, slots=True)
class PalletCameBack:
    """A pallet came back with all the cartons that were on it, each a return of its own; the pallet is empty."""

    kind: ClassVar[str] = "pallet-came-back"
    export: ClassVar[ExportRule] = ExportRule(on("left.child", Things.PALLETS), tables=(BundleTable.RETURNS,))
    origin: ClassVar[Origin] = DOCK.needs_reason()
    left: Nested

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The pallet is in its shipment no more; its label is not used again, so it stays what it was."""
        yield self.left.end(entry)


@dataclass(frozen=True, slots=True)
class DiscsReturned:
    """Discs came back without a carton label; matrix text and stamper mark were read off them.

    Written by older programs: without a movement, so such discs can only be destroyed.
    """

    kind: ClassVar[str] = "discs-returned"
    export: ClassVar[ExportRule] = ExportRule(on("lot", Things.WHOLE), tables=(BundleTable.RETURNS,))
    origin: ClassVar[Origin] = DOCK
    number: int
    lot: str | None
    """The one lot that fits what was read; None if several or none fit."""
    matrix: str
    mark: str
    discs: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One return line, in quarantine."""
        row = {"number": self.number, "carton": None, "lot": self.lot, "matrix": self.matrix}
        status = {"status": ReturnStatus.QUARANTINE, "seq": entry.seq}
        yield Insert("return_line", {**row, "mark": self.mark, "discs": self.discs, **status})


@dataclass(frozen=True, slots=True)
class CartonRestocked:
    """A returned carton was inspected and is stock again; the entry's reason says on what grounds."""

    kind: ClassVar[str] = "carton-restocked"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS), tables=(BundleTable.RETURNS,))
    origin: ClassVar[Origin] = DOCK_QUALITY.needs_reason()
    number: int
    carton: str
    moves: tuple[Moved, ...]
    """From the place of the return into the carton, one line per lot."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The discs are in the carton again."""
        yield from _booked(self.number, self.moves, entry)
        yield Update("carton", {"sscc": self.carton}, {"status": CartonStatus.CLOSED})
        yield Update("return_line", {"number": self.number}, {"status": ReturnStatus.RESTOCKED})


@dataclass(frozen=True, slots=True)
class Destroyed:
    """Discs were destroyed before a witness; the entry's reason says why."""

    kind: ClassVar[str] = "discs-destroyed"
    export: ClassVar[ExportRule] = ExportRule(
        on("carton", Things.CARTONS) + on("moves[].lot", Things.WHOLE), tables=(BundleTable.RETURNS,)
    )
    origin: ClassVar[Origin] = DOCK.needs_reason().needs_second("witness")
    carton: str | None
    number: int | None
    """The return line, None for a broken carton that never left."""
    witness: str
    left: Nested | None
    """The location in which the carton stood."""
    moves: tuple[Moved, ...]
    """One line per lot; none for discs that no lot is known to have given up."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The discs are gone, and the carton with them."""
        if self.left is not None:
            yield self.left.end(entry)
        yield from _booked(self.number, self.moves, entry)
        if self.carton is not None:
            yield Update("carton", {"sscc": self.carton}, {"status": CartonStatus.DESTROYED})
        if self.number is not None:
            yield Update("return_line", {"number": self.number}, {"status": ReturnStatus.DESTROYED})


@dataclass(frozen=True, slots=True)
class DiscsCameBack:
    """Discs came back without a carton label; matrix text and stamper mark were read off them."""

    kind: ClassVar[str] = "discs-came-back"
    export: ClassVar[ExportRule] = ExportRule(
        on("lot", Things.WHOLE) + on("candidates[]", Things.WHOLE), tables=(BundleTable.RETURNS,)
    )
    origin: ClassVar[Origin] = DOCK
    number: int
    """Number of the return line, from 1."""
    lot: str | None
    """The one shipped lot that fits what was read; None if several or none fit."""
    candidates: tuple[str, ...]
    """Every shipped lot that fits what was read."""
    matrix: str
    mark: str
    discs: int
    sent: int
    """Discs of the one lot that fits that are with customers by the records; 0 if several fit or none."""
    moves: tuple[Moved, ...]
    """Customers to returned, and returned to the place of the return; none while the lot is not known."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One return line, in quarantine; discs of a known lot lie there."""
        yield from _booked(self.number, self.moves, entry)
        row = {"number": self.number, "carton": None, "lot": self.lot, "matrix": self.matrix}
        status = {"status": ReturnStatus.QUARANTINE, "seq": entry.seq}
        yield Insert("return_line", {**row, "mark": self.mark, "discs": self.discs, **status})
        if self.lot is None and len(self.candidates) == 1:
            yield self._more_than_sent(entry)

    def _more_than_sent(self, entry: Entry) -> Insert:
        return finding_row(
            entry,
            finding=FindingCode.MORE_THAN_SHIPPED,
            subject=self.candidates[0],
            expected=f"at most {self.sent}",
            found=str(self.discs),
            sentence=f"Return {self.number}: {self.discs} discs {self.matrix} came back; only {self.sent} of "
            f"lot {self.candidates[0]} are with customers by the records.",
        )


@dataclass(frozen=True, slots=True)
class DiscsRestocked:
    """Loose discs were inspected and stand on a spindle again; the entry's reason says on what grounds."""

    kind: ClassVar[str] = "discs-restocked"
    export: ClassVar[ExportRule] = ExportRule(
        on("moved.lot", Things.WHOLE) + on("spindle", Things.SPINDLES), tables=(BundleTable.RETURNS,)
    )
    origin: ClassVar[Origin] = DOCK_QUALITY.needs_reason()
    number: int
    spindle: str
    """A new card."""
    moved: Moved
    """From the place of the return onto the spindle."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The card is made out, the discs moved."""
        row = {"code": self.spindle, "lot": self.moved.lot, "at": entry.stamp.event_time, "seq": entry.seq}
        yield Insert("spindle", row)
        yield from _booked(self.number, (self.moved,), entry)
        yield Update("return_line", {"number": self.number}, {"status": ReturnStatus.RESTOCKED})


KINDS: tuple[type[EntryBody], ...] = (
    CartonReturned,
    PalletCameBack,
    DiscsReturned,
    DiscsCameBack,
    CartonRestocked,
    DiscsRestocked,
    Destroyed,
)
"""The kinds of this module, for the registry."""
