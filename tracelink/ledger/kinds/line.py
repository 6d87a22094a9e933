"""Entries of the packing line: clearance, what was opened, runs of matches, rejects, cartons."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.closed_sets import CartonStatus, MovementSense
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.origin import LINE, WITNESSES, Origin, ScanRule


@dataclass(frozen=True, slots=True)
class LineCleared:
    """Two people looked and found nothing of the last job left on the line."""

    kind: ClassVar[str] = "line-cleared"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.BEFORE_A_RUN, no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.CLEARANCES,)
    )
    origin: ClassVar[Origin] = LINE.needs_second("checked_by", WITNESSES)
    checked_by: str
    """The second person; the first is the entry's person."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class SleevesOpened:
    """A sleeve batch was opened at a line, which sets the product that is packed."""

    kind: ClassVar[str] = "sleeves-opened"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.BEFORE_A_RUN, no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.CLEARANCES,)
    )
    origin: ClassVar[Origin] = LINE
    batch: str
    gtin: str
    numbered: bool
    discs: int
    """Discs to one finished unit."""
    carton_size: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class SpindleOpened:
    """A spindle was opened at a line, for one disc of the product."""

    kind: ClassVar[str] = "spindle-opened"
    export: ClassVar[ExportRule] = ExportRule(
        on("spindle", Things.SPINDLES), no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.CLEARANCES,)
    )
    origin: ClassVar[Origin] = LINE
    spindle: str
    lot: str
    piece: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class CartonOpened:
    """An empty carton with its SSCC label was put on the line."""

    kind: ClassVar[str] = "carton-opened"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS))
    origin: ClassVar[Origin] = LINE
    carton: str
    gtin: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One carton row, open and empty."""
        yield Insert(
            "carton",
            {
                "sscc": self.carton,
                "gtin": self.gtin,
                "status": CartonStatus.OPEN,
                "units": 0,
                "station": entry.stamp.station,
                "seq": entry.seq,
            },
        )


@dataclass(frozen=True, slots=True)
class InHand:
    """A disc in a sleeve that has some of its discs and not all."""

    spindle: str
    """Card of the spindle it was taken from."""
    lot: str


@dataclass(frozen=True, slots=True)
class DiscsSleeved:
    """A run of matches: discs from these spindles went into sleeves of this batch, into this carton.

    Consecutive matches at one station with the same spindles, batch and carton are one entry; every raw
    scan of it is packed beside the entry.
    """

    kind: ClassVar[str] = "discs-sleeved"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS))
    origin: ClassVar[Origin] = LINE.beside(ScanRule.SEALED)
    batch: str
    gtin: str
    carton: str
    units: int
    """Sleeves that got their last disc in this run."""
    first_at: str
    last_at: str
    moves: tuple[Moved, ...]
    """Spindle to carton, one line per spindle."""
    numbers: tuple[str, ...]
    """Serial numbers of the sleeves finished, in order; empty for editions without numbers."""
    filling: str | None
    """Number of the sleeve that has some of its discs and not all, None if there is none."""
    unfinished: tuple[InHand, ...]
    """The discs in that sleeve, in order; this run or one before moved them to the carton."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The discs move, the carton fills, the numbers are used."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        if self.units == 0:
            return
        yield Increase("carton", {"sscc": self.carton}, "units", self.units)
        yield Increase("carton_sleeve", {"carton": self.carton, "batch": self.batch}, "units", self.units)
        for number in self.numbers:
            row = {"gtin": self.gtin, "number": number, "batch": self.batch, "carton": self.carton}
            yield Insert("numbered_sleeve", {**row, "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class DiscRejected:
    """The packer put one disc aside for good."""

    kind: ClassVar[str] = "disc-rejected"
    export: ClassVar[ExportRule] = ExportRule(on("moved.lot", Things.WHOLE), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = LINE.needs_reason()
    moved: Moved

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The disc moves to scrap."""
        yield from self.moved.changes(entry, 0)


@dataclass(frozen=True, slots=True)
class NoRead:
    """A code could not be read. A no-read is never a match."""

    kind: ClassVar[str] = "no-read"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = LINE
    waiting_for: str
    """disc or sleeve: what should have been read."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing moves."""
        yield from ()


@dataclass(frozen=True, slots=True)
class LineStopped:
    """The operator stopped the line and put the pieces in hand aside."""

    kind: ClassVar[str] = "line-stopped"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.WHILE_ON, tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = LINE
    returned_to: str | None
    """Spindle that the disc in hand goes back to, None if there was none."""
    moves: tuple[Moved, ...]
    """Carton to spindle: the discs of an unfinished set that was taken apart."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A disc in hand was never booked out of its spindle; those of an unfinished set were, and go back."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line, MovementSense.TAKEN_BACK)


@dataclass(frozen=True, slots=True)
class CartonClosed:
    """The carton was sealed with this many finished units in it."""

    kind: ClassVar[str] = "carton-closed"
    export: ClassVar[ExportRule] = ExportRule(on("carton", Things.CARTONS))
    origin: ClassVar[Origin] = LINE
    carton: str
    units: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton's status."""
        yield Update("carton", {"sscc": self.carton}, {"status": CartonStatus.CLOSED})
