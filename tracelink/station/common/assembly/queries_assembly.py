"""What the assembly stations ask the ledger, and the facts they get back."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.parts.part_sets import AT_PACKING, PartLotStatus, PieceStatus
from tracelink.station.common.station_facts import HoldNotice


@dataclass(frozen=True, slots=True)
class PartKind:
    """A kind of part."""

    number: str
    what: str
    sample: int | None
    """Pieces of each lot that are tested; None for all."""


@dataclass(frozen=True, slots=True)
class BillLine:
    """One part of a bill of material."""

    part: str
    what: str
    """What people call it."""
    revision: str
    quantity: int
    slot: str | None
    """Slot of a placing machine; None for what is joined by hand, `AT_PACKING` for what is packed with it."""

    @property
    def is_packed(self) -> bool:
        """True if it is put beside the unit when that is packed."""
        return self.slot == AT_PACKING


@dataclass(frozen=True, slots=True)
class Bill:
    """What something is built of."""

    part: str
    what: str
    """What people call what is built."""
    version: str
    since: str
    gtin: str | None
    lines: tuple[BillLine, ...]


@dataclass(frozen=True, slots=True)
class SlotTag:
    """A place for a reel at a machine."""

    code: str
    station: str
    what: str
    """Its name on the machine."""


@dataclass(frozen=True, slots=True)
class PartLot:
    """A lot of parts that came in."""

    code: str
    part: str
    revision: str
    quantity: int
    status: PartLotStatus
    failed: int
    taken: int

    @property
    def left(self) -> int:
        """Pieces on no reel and in no tray yet."""
        return self.quantity - self.failed - self.taken


@dataclass(frozen=True, slots=True)
class Reel:
    """A reel, or a tray if its parts are in no order."""

    code: str
    part: str
    revision: str
    in_order: bool
    holds: int
    """Parts that were ever on it."""
    used: int
    """Parts that left it."""
    dropping: int
    """Parts thrown away since the pieces were counted last."""
    slot: str | None
    """The slot that it is in."""
    lots: tuple[str, ...]
    """Part lots it was made of."""

    @property
    def left(self) -> int:
        """Parts on it, as far as pieces were counted."""
        return self.holds - self.used - self.dropping


@dataclass(frozen=True, slots=True)
class BuildOrder:
    """Pieces that are built by one bill of material."""

    code: str
    part: str
    what: str
    version: str
    first_serial: int
    quantity: int
    panel: int


@dataclass(frozen=True, slots=True)
class MachineRun:
    """What a placing machine works on."""

    seq: int
    build: str
    done: int
    """Pieces of the order it has done."""
    stopped: bool
    """True after a wrong reel, until the right one is loaded."""


@dataclass(frozen=True, slots=True)
class SlotLoad:
    """A reel in a slot; of several, the ones loaded later are joined to the tails of those before."""

    seq: int
    slot: str
    reel: Reel
    checked: int
    """Pieces that the machine had done at the last good check."""


@dataclass(frozen=True, slots=True)
class PieceFact:
    """A built piece."""

    code: str
    build: BuildOrder
    number: int
    """Which of the order, from 1."""
    is_new: bool
    """True if it was never handled by itself."""
    status: PieceStatus
    parent: str | None
    """What it is in now."""
    put_there: int | None = None
    """Entry that put it there."""
    in_lab: bool = False
    """True if the lab drew it as a sample."""

    @property
    def built_into(self) -> str | None:
        """The piece that it is a part of; None if it is part of none."""
        if self.parent is None or self.parent[0] != CodeKind.PIECE.value:
            return None
        return self.parent


@dataclass(frozen=True, slots=True)
class InPiece:
    """Parts in a piece."""

    part: str
    revision: str
    quantity: int
    piece: str | None
    """Serial label, if the part has one."""
    reel: str | None
    joined: int
    """Entry that put it in."""


class AssemblyQueries(Protocol):
    """Questions of the assembly stations; a part of `queries.StationQueries`."""

    def part_kind(self, number: str) -> PartKind | None:
        """A kind of part."""
        ...

    def builds_units(self) -> bool:
        """Return whether this plant builds anything of parts."""
        ...

    def bill_on(self, part: str, day: str) -> Bill | None:
        """The bill of material that holds on a day, YYYY-MM-DD."""
        ...

    def bill(self, part: str, version: str) -> Bill | None:
        """One version of a bill of material."""
        ...

    def slot(self, code: str) -> SlotTag | None:
        """A slot of a machine."""
        ...

    def slots_at(self, station: str) -> Sequence[SlotTag]:
        """The slots of a machine, by name."""
        ...

    def part_lot(self, code: str) -> PartLot | None:
        """A part lot."""
        ...

    def reel(self, code: str) -> Reel | None:
        """A reel or tray."""
        ...

    def build(self, code: str) -> BuildOrder | None:
        """A build order."""
        ...

    def build_with_serials(self, first: int, last: int) -> str | None:
        """A build order that has one of some serial numbers."""
        ...

    def run_at(self, station: str) -> MachineRun | None:
        """What a placing machine works on."""
        ...

    def done_by(self, station: str, build: str) -> int:
        """Pieces of a build order that a machine did in earlier runs."""
        ...

    def loads_in(self, run: int) -> Sequence[SlotLoad]:
        """The reels in the slots of a run, as they were loaded."""
        ...

    def last_programme(self, part: str, station: str) -> str | None:
        """The programme by which a piece of a part number was last tested at a station."""
        ...

    def built_piece(self, code: str) -> PieceFact | None:
        """The piece with this serial label."""
        ...

    def in_piece(self, piece: PieceFact) -> Sequence[InPiece]:
        """The parts that are in a piece now."""
        ...

    def hold_on_piece(self, piece: PieceFact) -> HoldNotice | None:
        """An open hold on a piece, its build order, or a piece in it."""
        ...

    def hold_on_reel(self, reel: Reel) -> HoldNotice | None:
        """An open hold on a reel, on positions that are still on it, or on a part lot it was made of."""
        ...
