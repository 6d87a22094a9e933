"""Answers about parts, machines and built pieces; a part of `SqlStationQueries`."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import text

from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.parts.part_sets import PartLotStatus, PieceStatus
from tracelink.station.common.assembly.queries_assembly import (
    Bill,
    BillLine,
    BuildOrder,
    InPiece,
    MachineRun,
    PartKind,
    PartLot,
    PieceFact,
    Reel,
    SlotLoad,
    SlotTag,
)
from tracelink.station.common.station_facts import HoldNotice
from tracelink.store.assembly import parts_in_pieces
from tracelink.store.stations.asking import Asking

_PART = text("SELECT number, what, sample FROM part_kind WHERE number = :number")
_BILL = "SELECT b.part, k.what, b.version, b.since, b.gtin FROM bill b JOIN part_kind k ON k.number = b.part "
_BILL_ON = text(_BILL + "WHERE b.part = :part AND b.since <= :day ORDER BY b.since DESC, b.seq DESC LIMIT 1")
_BILL_OF = text(_BILL + "WHERE b.part = :part AND b.version = :version")
_ANY_BILL = text("SELECT 1 FROM bill LIMIT 1")
_LINES = text(
    "SELECT l.part, k.what, l.revision, l.quantity, l.slot FROM bill_line l JOIN part_kind k ON k.number = l.part "
    "WHERE l.item = :part AND l.version = :version ORDER BY l.line"
)
_SLOT = text("SELECT code, station, what FROM slot WHERE code = :code")
_SLOTS = text("SELECT code, station, what FROM slot WHERE station = :station ORDER BY what, code")
_PART_LOT = text(
    "SELECT code, part, revision, quantity, status, failed, taken FROM part_lot WHERE code = :code"
)
_REEL = text(
    "SELECT r.code, r.part, r.revision, r.in_order, r.holds, r.used, r.dropping, "
    "(SELECT s.slot FROM slot_load s WHERE s.reel = r.code AND s.out_seq IS NULL) AS slot FROM reel r WHERE r.code = :code"
)
_REEL_LOTS = text("SELECT DISTINCT part_lot FROM reel_item WHERE reel = :code ORDER BY part_lot")
_BUILD = (
    "SELECT b.code, b.part, k.what, b.version, b.first_serial, b.quantity, b.panel FROM build b "
    "JOIN part_kind k ON k.number = b.part "
)
_BUILD_OF = text(_BUILD + "WHERE b.code = :code")
# The last order that begins at a number or before it is the only one that can hold it.
_BUILD_AT = text(_BUILD + "WHERE b.first_serial <= :number ORDER BY b.first_serial DESC LIMIT 1")
_RUN = text(
    "SELECT seq, build, done, stopped FROM machine_run WHERE station = :station AND ended_seq IS NULL"
)
_DONE = text(
    "SELECT COALESCE(MAX(done), 0) AS done FROM machine_run WHERE station = :station AND build = :build"
)
_PROGRAMME = text(
    "SELECT programme FROM piece_test WHERE part = :part AND station = :station ORDER BY seq DESC LIMIT 1"
)
_LOADS = text(
    "SELECT seq, slot, reel, checked FROM slot_load WHERE run = :run AND out_seq IS NULL ORDER BY seq"
)
_PIECE = text(
    "SELECT p.status, n.parent, n.opened_seq, EXISTS (SELECT 1 FROM sample s WHERE s.code = p.code) AS in_lab "
    "FROM piece p LEFT JOIN nesting n ON n.child = p.code AND n.closed_seq IS NULL WHERE p.code = :code"
)
# A hold on a piece, its order or some pieces of that, and the same for every piece in it.
_HELD = text(
    """WITH RECURSIVE inside (code) AS (
        SELECT :code UNION SELECT n.child FROM nesting n JOIN inside i ON n.parent = i.code
        WHERE n.closed_seq IS NULL AND n.child LIKE 'U%'
    )
    SELECT h.code, h.cause, h.reason, t.subject FROM hold h JOIN hold_item t ON t.hold = h.code
    WHERE h.lifted_seq IS NULL AND (
        t.subject IN (SELECT code FROM inside)
        OR (t.subject = :build AND (t."first" IS NULL OR :number BETWEEN t."first" AND t."last"))
        OR EXISTS (
            SELECT 1 FROM piece p JOIN inside i ON i.code = p.code WHERE t.subject = p.build
            AND (t."first" IS NULL OR p.number BETWEEN t."first" AND t."last")
        )
    ) ORDER BY h.seq, t.line LIMIT 1"""
)


# A hold on a reel, on a lot it was made of, or on positions that have not left it.
_REEL_HELD = text(
    """SELECT h.code, h.cause, h.reason, t.subject FROM hold h JOIN hold_item t ON t.hold = h.code
    WHERE h.lifted_seq IS NULL AND (
        (t.subject = :code AND (t."last" IS NULL OR t."last" > :used))
        OR t.subject IN (SELECT part_lot FROM reel_item WHERE reel = :code)
    ) ORDER BY h.seq, t.line LIMIT 1"""
)


class AssemblyAnswers(Asking):
    """Answers about parts, machines and built pieces, inside one transaction."""

    def part_kind(self, number: str) -> PartKind | None:
        """A kind of part."""
        row = self._first(_PART, number=number)
        return None if row is None else PartKind(*row)

    def builds_units(self) -> bool:
        """Return whether this plant builds anything of parts."""
        return self._first(_ANY_BILL) is not None

    def bill_on(self, part: str, day: str) -> Bill | None:
        """The bill of material that holds on a day."""
        return self._bill(self._first(_BILL_ON, part=part, day=day))

    def bill(self, part: str, version: str) -> Bill | None:
        """One version of a bill of material."""
        return self._bill(self._first(_BILL_OF, part=part, version=version))

    def _bill(self, row: Any) -> Bill | None:
        if row is None:
            return None
        lines = self._all(_LINES, part=row.part, version=row.version)
        return Bill(
            row.part,
            row.what,
            row.version,
            row.since,
            row.gtin,
            tuple(BillLine(*line) for line in lines),
        )

    def slot(self, code: str) -> SlotTag | None:
        """A slot of a machine."""
        row = self._first(_SLOT, code=code)
        return None if row is None else SlotTag(*row)

    def slots_at(self, station: str) -> Sequence[SlotTag]:
        """The slots of a machine, by name."""
        return [SlotTag(*row) for row in self._all(_SLOTS, station=station)]

    def part_lot(self, code: str) -> PartLot | None:
        """A part lot."""
        row = self._first(_PART_LOT, code=code)
        if row is None:
            return None
        status = PartLotStatus(row.status)
        return PartLot(row.code, row.part, row.revision, row.quantity, status, row.failed, row.taken)

    def reel(self, code: str) -> Reel | None:
        """A reel or tray."""
        row = self._first(_REEL, code=code)
        if row is None:
            return None
        lots = tuple(str(lot) for lot in self._scalars(_REEL_LOTS, code=code))
        return Reel(
            row.code,
            row.part,
            row.revision,
            bool(row.in_order),
            row.holds,
            row.used,
            row.dropping,
            row.slot,
            lots,
        )

    def build(self, code: str) -> BuildOrder | None:
        """A build order."""
        row = self._first(_BUILD_OF, code=code)
        return None if row is None else BuildOrder(*row)

    def build_with_serials(self, first: int, last: int) -> str | None:
        """A build order that has one of some serial numbers."""
        row = self._first(_BUILD_AT, number=last)
        return None if row is None or row.first_serial + row.quantity <= first else str(row.code)

    def run_at(self, station: str) -> MachineRun | None:
        """What a placing machine works on."""
        row = self._first(_RUN, station=station)
        return None if row is None else MachineRun(row.seq, row.build, row.done, bool(row.stopped))

    def done_by(self, station: str, build: str) -> int:
        """Pieces of a build order that a machine did in earlier runs."""
        return int(self._first(_DONE, station=station, build=build).done)

    def loads_in(self, run: int) -> Sequence[SlotLoad]:
        """The reels in the slots of a run, as they were loaded."""
        return [
            SlotLoad(row.seq, row.slot, reel, row.checked)
            for row in self._all(_LOADS, run=run)
            if (reel := self.reel(row.reel)) is not None
        ]

    def last_programme(self, part: str, station: str) -> str | None:
        """The programme by which a piece of a part number was last tested at a station."""
        row = self._first(_PROGRAMME, part=part, station=station)
        return None if row is None else str(row.programme)

    def built_piece(self, code: str) -> PieceFact | None:
        """The piece with this serial label."""
        serial = PlantCode.parse(code).number
        row = self._first(_BUILD_AT, number=serial)
        if row is None or serial >= row.first_serial + row.quantity:
            return None
        own = self._first(_PIECE, code=code)
        return PieceFact(
            code,
            BuildOrder(*row),
            serial - row.first_serial + 1,
            own is None,
            PieceStatus.BUILT if own is None else PieceStatus(own.status),
            None if own is None else own.parent,
            None if own is None else own.opened_seq,
            own is not None and bool(own.in_lab),
        )

    def in_piece(self, piece: PieceFact) -> Sequence[InPiece]:
        """The parts that are in a piece now."""
        return parts_in_pieces.in_piece(self._all, piece)

    def hold_on_piece(self, piece: PieceFact) -> HoldNotice | None:
        """An open hold on a piece, its build order, or a piece in it."""
        row = self._first(_HELD, code=piece.code, build=piece.build.code, number=piece.number)
        return None if row is None else HoldNotice(*row)

    def hold_on_reel(self, reel: Reel) -> HoldNotice | None:
        """An open hold on a reel, on positions that are still on it, or on a part lot it was made of."""
        row = self._first(_REEL_HELD, code=reel.code, used=reel.used)
        return None if row is None else HoldNotice(*row)
