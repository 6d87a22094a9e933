"""Entries of build orders and placing machines: what is in which slot, and which boards took which positions."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Things, on
from tracelink.ledger.origin import ASSEMBLY, Origin
from tracelink.ledger.parts.piece_places import place_of_pieces

_OF_ORDER = on("build", Things.PARTS, Things.PART_SOURCES)
"""A build order whose pieces are followed, or that followed pieces are of."""
_OF_ORDER_AND_REEL = ExportRule((*_OF_ORDER, *on("reel", Things.PARTS)), no_event=NoEvent.PART_OF_AN_ACT)


@dataclass(frozen=True, slots=True)
class BuildBegun:
    """A build order: so many pieces are built by one bill of material, under serial labels that follow one another."""

    kind: ClassVar[str] = "build-begun"
    export: ClassVar[ExportRule] = ExportRule(_OF_ORDER, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = ASSEMBLY
    build: str
    part: str
    """Part number of what is built."""
    version: str
    """Of its bill of material, for all of the order."""
    first_serial: int
    """Number in the serial label of the first piece."""
    quantity: int
    panel: int
    """Pieces that go through machines as one; 1 if each goes alone."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield Insert(
            "build",
            {
                "code": self.build,
                "part": self.part,
                "version": self.version,
                "first_serial": self.first_serial,
                "quantity": self.quantity,
                "panel": self.panel,
                "at": entry.stamp.event_time,
                "seq": entry.seq,
            },
        )


@dataclass(frozen=True, slots=True)
class MachineSetUp:
    """A placing machine is set up for a build order."""

    kind: ClassVar[str] = "machine-set-up"
    export: ClassVar[ExportRule] = ExportRule(_OF_ORDER, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = ASSEMBLY
    build: str
    station: str
    done: int
    """Pieces of the order that the machine did in earlier runs."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One run row."""
        yield Insert(
            "machine_run",
            {
                "seq": entry.seq,
                "station": self.station,
                "build": self.build,
                "done": self.done,
                "stopped": 0,
                "ended_seq": None,
            },
        )


@dataclass(frozen=True, slots=True)
class ReelLoaded:
    """A reel was put into a slot, or joined to the tail of the reel that is in it."""

    kind: ClassVar[str] = "reel-loaded"
    export: ClassVar[ExportRule] = _OF_ORDER_AND_REEL
    origin: ClassVar[Origin] = ASSEMBLY
    run: int
    """Entry that set the machine up."""
    build: str
    slot: str
    reel: str
    done: int
    """Pieces the machine had done then."""
    spliced: bool
    """True if it is joined to another, which is used up first."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row of what is in the slot; the check of both scans is good, and the machine may go on."""
        yield Insert(
            "slot_load",
            {
                "seq": entry.seq,
                "run": self.run,
                "slot": self.slot,
                "reel": self.reel,
                "checked": self.done,
                "out_seq": None,
            },
        )
        if not self.spliced:
            yield Update("machine_run", {"seq": self.run}, {"stopped": 0})


@dataclass(frozen=True, slots=True)
class SlotChecked:
    """The reel in a slot was scanned again, and is the right one."""

    kind: ClassVar[str] = "slot-checked"
    export: ClassVar[ExportRule] = _OF_ORDER_AND_REEL
    origin: ClassVar[Origin] = ASSEMBLY
    build: str
    slot: str
    reel: str
    done: int
    loads: tuple[int, ...]
    """Entries that put what is in the slot there."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The last good check."""
        del entry
        for load in self.loads:
            yield Update("slot_load", {"seq": load}, {"checked": self.done})


@dataclass(frozen=True, slots=True)
class WrongReelFound:
    """Another reel than the booked one was found in a slot: the machine stops."""

    kind: ClassVar[str] = "wrong-reel-found"
    export: ClassVar[ExportRule] = ExportRule(
        (
            *_OF_ORDER,
            *on("reel", Things.PARTS),
            *on("found", Things.PARTS),
        ),
        no_event=NoEvent.PART_OF_AN_ACT,
    )
    origin: ClassVar[Origin] = ASSEMBLY
    run: int
    build: str
    slot: str
    reel: str
    """What was to be in the slot."""
    found: str
    """The reel that was found."""
    first: int
    """First piece since the last good check; more than `last` if there is none."""
    last: int
    loads: tuple[int, ...]
    """Entries that put into the slot what is taken out of it now."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The slot is empty, the machine stands, and which pieces may have parts of the reel that was found."""
        for load in self.loads:
            yield Update("slot_load", {"seq": load}, {"out_seq": entry.seq})
        yield Update("machine_run", {"seq": self.run}, {"stopped": 1})
        if self.first <= self.last:
            row = {"seq": entry.seq, "reel": self.found, "build": self.build}
            yield Insert("wrong_reel", {**row, "first": self.first, "last": self.last})


@dataclass(frozen=True, slots=True)
class PartsDropped:
    """A machine picked parts off a reel and threw them away: which ones, among those since the last count, is not known."""

    kind: ClassVar[str] = "parts-dropped"
    export: ClassVar[ExportRule] = _OF_ORDER_AND_REEL
    origin: ClassVar[Origin] = ASSEMBLY
    build: str
    reel: str
    quantity: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """They count when the pieces are counted."""
        del entry
        yield Increase("reel", {"code": self.reel}, "dropping", self.quantity)


@dataclass(frozen=True, slots=True)
class PartsTaken:
    """Parts of one reel that pieces of a build order took one after the other."""

    reel: str
    quantity: int
    dropped: int
    """Parts that were thrown away among them."""
    first: int | None
    """First position that left the reel; None for a tray."""
    last: int | None
    from_piece: int
    to_piece: int
    per_piece: int
    """Parts that each piece takes."""
    lead: int
    """Of those, what the first piece had from the reel before."""


@dataclass(frozen=True, slots=True)
class PartsPlaced:
    """A placing machine did some pieces of a build order, and took the parts for them off its reels."""

    kind: ClassVar[str] = "parts-placed"
    export: ClassVar[ExportRule] = ExportRule((*_OF_ORDER, *on("items[].reel", Things.PARTS)))
    origin: ClassVar[Origin] = ASSEMBLY
    run: int
    build: str
    first: int
    """First piece of the order; one more than `last` where only thrown away parts are booked."""
    last: int
    items: tuple[PartsTaken, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per reel, one more for what was thrown away."""
        for line, item in enumerate(self.items):
            yield from _taken(entry, self.build, 2 * line, item)
        yield Update("machine_run", {"seq": self.run}, {"done": self.last})


def _taken(entry: Entry, build: str, line: int, item: PartsTaken) -> Iterator[Change]:
    row = {
        "seq": entry.seq,
        "reel": item.reel,
        "source": DiscPlace.COUNTER,
        "first": item.first,
        "last": item.last,
        "at": entry.stamp.event_time,
    }
    if item.quantity:
        yield Insert(
            "part_move",
            {
                **row,
                "line": line,
                "quantity": item.quantity,
                "target": place_of_pieces(build, item.from_piece, item.to_piece),
                "build": build,
                "from_piece": item.from_piece,
                "to_piece": item.to_piece,
                "per_piece": item.per_piece,
                "lead": item.lead,
            },
        )
    if item.dropped:
        nothing = {"build": None, "from_piece": None, "to_piece": None, "per_piece": None, "lead": None}
        scrapped = {"line": line + 1, "quantity": item.dropped, "target": DiscPlace.SCRAP}
        yield Insert("part_move", {**row, **scrapped, **nothing})
        yield Increase("reel", {"code": item.reel}, "dropping", -item.dropped)
    yield Increase("reel", {"code": item.reel}, "used", item.quantity + item.dropped)


@dataclass(frozen=True, slots=True)
class ReelUnloaded:
    """A reel was taken out of its slot, or the machine is done with its build order."""

    kind: ClassVar[str] = "reel-unloaded"
    export: ClassVar[ExportRule] = ExportRule(
        (*_OF_ORDER, *on("reels[]", Things.PARTS)),
        no_event=NoEvent.PART_OF_AN_ACT,
    )
    origin: ClassVar[Origin] = ASSEMBLY
    run: int
    build: str
    reels: tuple[str, ...]
    loads: tuple[int, ...]
    """Entries that put them in."""
    is_end: bool
    """True if the machine is done."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The slots are empty."""
        for load in self.loads:
            yield Update("slot_load", {"seq": load}, {"out_seq": entry.seq})
        if self.is_end:
            yield Update("machine_run", {"seq": self.run}, {"ended_seq": entry.seq})


KINDS = (
    BuildBegun,
    MachineSetUp,
    ReelLoaded,
    SlotChecked,
    WrongReelFound,
    PartsDropped,
    PartsPlaced,
    ReelUnloaded,
)
