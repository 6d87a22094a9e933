"""Entries of pieces with a serial label: what was joined into them, how they were tested, what was taken out."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.closed_sets import CartonStatus, DiscPlace
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, Things, on
from tracelink.ledger.origin import ASSEMBLY, Origin
from tracelink.ledger.parts.part_sets import PieceStatus


@dataclass(frozen=True, slots=True)
class BuiltPiece:
    """A piece of a build order."""

    piece: str
    """Code of its serial label."""
    build: str
    number: int
    """Which of the order, from 1."""
    is_new: bool
    """True if it is handled by itself for the first time."""


@dataclass(frozen=True, slots=True)
class JoinedPart:
    """What was joined into a unit: a piece with a label of its own, or parts off a reel or out of a tray."""

    part: str
    """Part number."""
    revision: str
    quantity: int
    piece: BuiltPiece | None
    reel: str | None
    first: int | None
    """First position on the reel; None for a tray."""
    last: int | None


@dataclass(frozen=True, slots=True)
class PartsJoined:
    """Sub-assemblies and parts were joined into a unit."""

    kind: ClassVar[str] = "parts-joined"
    export: ClassVar[ExportRule] = ExportRule(
        (
            *on("unit.piece", Things.PARTS),
            *on("items[].reel", Things.PARTS),
            *on("items[].piece.piece", Things.PARTS),
        ),
    )
    origin: ClassVar[Origin] = ASSEMBLY
    unit: BuiltPiece
    items: tuple[JoinedPart, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Pieces are nested in the unit; parts moved into it."""
        yield from piece_row(entry, self.unit)
        for line, item in enumerate(self.items):
            if item.piece is not None:
                yield from piece_row(entry, item.piece)
                yield nested(entry, item.piece.piece, self.unit.piece)
            elif item.reel is not None:
                yield Increase("reel", {"code": item.reel}, "used", item.quantity)
                yield Insert(
                    "part_move",
                    {
                        "seq": entry.seq,
                        "line": line,
                        "reel": item.reel,
                        "quantity": item.quantity,
                        "source": DiscPlace.COUNTER,
                        "target": self.unit.piece,
                        "first": item.first,
                        "last": item.last,
                        "at": entry.stamp.event_time,
                        "build": self.unit.build,
                        "from_piece": self.unit.number,
                        "to_piece": self.unit.number,
                        "per_piece": item.quantity,
                        "lead": 0,
                    },
                )


def piece_row(entry: Entry, piece: BuiltPiece) -> Iterator[Change]:
    """Yield the row of a piece that is handled by itself for the first time."""
    if piece.is_new:
        yield Insert(
            "piece",
            {
                "code": piece.piece,
                "build": piece.build,
                "number": piece.number,
                "status": PieceStatus.BUILT,
                "seq": entry.seq,
            },
        )


def nested(entry: Entry, child: str, parent: str) -> Insert:
    """Return that something stands in something from this entry on."""
    return Insert("nesting", {"child": child, "parent": parent, "opened_seq": entry.seq, "closed_seq": None})


@dataclass(frozen=True, slots=True)
class PieceTested:
    """A piece was tested by a programme."""

    kind: ClassVar[str] = "piece-tested"
    export: ClassVar[ExportRule] = ExportRule(on("piece.piece", Things.PARTS))
    origin: ClassVar[Origin] = ASSEMBLY
    piece: BuiltPiece
    part: str
    """Part number of the piece."""
    programme: str
    """Name and version, as typed."""
    passed: bool
    symptom: str | None
    """What it did wrong; None if it passed."""
    position: str | None
    """Where on it the fault is, such as C12; None if it passed or that is not known."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row, and how the piece stands by it."""
        yield from piece_row(entry, self.piece)
        status = PieceStatus.PASSED if self.passed else PieceStatus.FAILED
        yield Update("piece", {"code": self.piece.piece}, {"status": status})
        yield Insert(
            "piece_test",
            {
                "seq": entry.seq,
                "piece": self.piece.piece,
                "part": self.part,
                "station": entry.stamp.station,
                "programme": self.programme,
                "passed": int(self.passed),
                "symptom": self.symptom,
                "position": self.position,
                "at": entry.stamp.event_time,
            },
        )


@dataclass(frozen=True, slots=True)
class PartTakenOut:
    """A part was taken out of a piece in rework; the one that is put in comes by another entry."""

    kind: ClassVar[str] = "part-taken-out"
    export: ClassVar[ExportRule] = ExportRule(
        (*on("unit", Things.PARTS), *on("reel", Things.PARTS), *on("piece", Things.PARTS)),
    )
    origin: ClassVar[Origin] = ASSEMBLY.needs_reason()
    unit: str
    piece: str | None
    """The piece that was taken out; None for a part off a reel."""
    joined: int | None
    """Entry that joined that piece."""
    reel: str | None
    to: str
    """A `TakenOutTo`."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The piece is in nothing any more; the part is somewhere else."""
        if self.piece is not None:
            key = {"child": self.piece, "opened_seq": self.joined}
            yield Update("nesting", key, {"closed_seq": entry.seq})
        row = {"seq": entry.seq, "unit": self.unit, "piece": self.piece, "reel": self.reel}
        yield Insert("taken_out", {**row, "went_to": self.to, "at": entry.stamp.event_time})
        if self.reel is not None:
            yield Insert(
                "part_move",
                {
                    "seq": entry.seq,
                    "line": 0,
                    "reel": self.reel,
                    "quantity": 1,
                    "source": self.unit,
                    "target": self.to,
                    "first": None,
                    "last": None,
                    "at": entry.stamp.event_time,
                    "build": None,
                    "from_piece": None,
                    "to_piece": None,
                    "per_piece": None,
                    "lead": None,
                },
            )


@dataclass(frozen=True, slots=True)
class UnitsPacked:
    """Units were packed into a carton, which is closed."""

    kind: ClassVar[str] = "units-packed"
    export: ClassVar[ExportRule] = ExportRule(
        (*on("carton", Things.CARTONS), *on("units[].piece", Things.PARTS))
    )
    origin: ClassVar[Origin] = ASSEMBLY
    carton: str
    gtin: str
    units: tuple[BuiltPiece, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A sealed carton, and each unit in it."""
        yield Insert(
            "carton",
            {
                "sscc": self.carton,
                "gtin": self.gtin,
                "status": CartonStatus.CLOSED,
                "units": len(self.units),
                "station": entry.stamp.station,
                "seq": entry.seq,
            },
        )
        for unit in self.units:
            yield from piece_row(entry, unit)
            yield nested(entry, unit.piece, self.carton)


KINDS = (PartsJoined, PieceTested, PartTakenOut, UnitsPacked)
