"""Entries of part lots and of the reels and trays that are made of them."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, Things, on
from tracelink.ledger.origin import ASSEMBLY, PARTS_RECEIVED, Origin
from tracelink.ledger.parts.part_sets import PartLotStatus


@dataclass(frozen=True, slots=True)
class PartLotReceived:
    """A lot of parts came in; it stays in quarantine until it is tested."""

    kind: ClassVar[str] = "part-lot-received"
    export: ClassVar[ExportRule] = ExportRule(on("part_lot", Things.PARTS, Things.PART_SOURCES))
    origin: ClassVar[Origin] = PARTS_RECEIVED
    part_lot: str
    part: str
    """Part number."""
    revision: str
    supplier_lot: str
    """The supplier's lot, as typed."""
    date_code: str
    quantity: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield Insert(
            "part_lot",
            {
                "code": self.part_lot,
                "part": self.part,
                "revision": self.revision,
                "supplier_lot": self.supplier_lot,
                "date_code": self.date_code,
                "quantity": self.quantity,
                "status": PartLotStatus.QUARANTINE,
                "tested": 0,
                "failed": 0,
                "taken": 0,
                "at": entry.stamp.event_time,
                "seq": entry.seq,
            },
        )


@dataclass(frozen=True, slots=True)
class PartLotTested:
    """A part lot was tested and is accepted or rejected by it."""

    kind: ClassVar[str] = "part-lot-tested"
    export: ClassVar[ExportRule] = ExportRule(on("part_lot", Things.PARTS, Things.PART_SOURCES))
    origin: ClassVar[Origin] = ASSEMBLY
    part_lot: str
    tested: int
    failed: int
    """Pieces that failed, which are scrapped."""
    accepted: bool

    def changes(self, entry: Entry) -> Iterator[Change]:
        """How it stands now."""
        del entry
        status = PartLotStatus.ACCEPTED if self.accepted else PartLotStatus.REJECTED
        yield Update(
            "part_lot",
            {"code": self.part_lot},
            {"status": status, "tested": self.tested, "failed": self.failed},
        )


@dataclass(frozen=True, slots=True)
class ReelFilled:
    """Parts of a lot were taped on a reel behind those that were on it, or put into a tray."""

    kind: ClassVar[str] = "reel-filled"
    export: ClassVar[ExportRule] = ExportRule(
        (*on("reel", Things.PARTS, Things.PART_SOURCES), *on("part_lot", Things.PARTS))
    )
    origin: ClassVar[Origin] = ASSEMBLY
    reel: str
    part_lot: str
    part: str
    revision: str
    in_order: bool
    """True if the parts leave in the order of their positions; False for a tray, in which they lie as they fell."""
    first: int
    """First position, from 1; in a tray the numbers only count."""
    last: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A reel row if it is new, and where the parts of the lot are on it."""
        quantity = self.last - self.first + 1
        if self.first == 1:
            yield Insert(
                "reel",
                {
                    "code": self.reel,
                    "part": self.part,
                    "revision": self.revision,
                    "in_order": int(self.in_order),
                    "holds": 0,
                    "used": 0,
                    "dropping": 0,
                    "seq": entry.seq,
                },
            )
        yield Increase("reel", {"code": self.reel}, "holds", quantity)
        yield Increase("part_lot", {"code": self.part_lot}, "taken", quantity)
        row = {"reel": self.reel, "first": self.first, "last": self.last, "part_lot": self.part_lot}
        yield Insert("reel_item", {**row, "at": entry.stamp.event_time, "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class ReelCounted:
    """What is left on a reel was counted."""

    kind: ClassVar[str] = "reel-counted"
    export: ClassVar[ExportRule] = ExportRule(on("reel", Things.PARTS, Things.PART_SOURCES))
    origin: ClassVar[Origin] = ASSEMBLY
    reel: str
    shown: int
    """As the system showed it."""
    counted: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        row = {"seq": entry.seq, "reel": self.reel, "shown": self.shown, "counted": self.counted}
        yield Insert("reel_count", {**row, "at": entry.stamp.event_time})


KINDS = (PartLotReceived, PartLotTested, ReelFilled, ReelCounted)
