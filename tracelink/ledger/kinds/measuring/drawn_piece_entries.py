"""Entries of built pieces that the lab draws: a unit or a board is a sample under its own serial label."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Things, on
from tracelink.ledger.kinds.assembly.unit_entries import BuiltPiece, piece_row
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import LAB, Origin


@dataclass(frozen=True, slots=True)
class PieceDrawn:
    """A built piece went to the lab, from the hall or out of a closed carton. It is never used or packed again.

    A piece is (build order, number) as a disc is (lot, stroke): its row among the samples says so, and whatever the lab
    does to a sample it can do to a piece.
    """

    kind: ClassVar[str] = "piece-drawn"
    export: ClassVar[ExportRule] = ExportRule(
        on("piece.piece", Things.SAMPLES, Things.PARTS) + on("carton", Things.CARTONS),
        no_event=NoEvent.PART_OF_AN_ACT,
    )
    origin: ClassVar[Origin] = LAB
    piece: BuiltPiece
    carton: str | None
    """The carton that it was taken out of; None if it was in none."""
    packed: int | None
    """Entry that packed it there."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A sample under the label of the piece; its carton holds one unit less."""
        yield from piece_row(entry, self.piece)
        if self.carton is not None:
            key = {"child": self.piece.piece, "opened_seq": self.packed}
            yield Update("nesting", key, {"closed_seq": entry.seq})
            yield Increase("carton", {"sscc": self.carton}, "units", -1)
        row = {"code": self.piece.piece, "lot": self.piece.build, "stroke": self.piece.number}
        yield Insert("sample", {**row, "at": entry.stamp.event_time, "seq": entry.seq})


KINDS: tuple[type[EntryBody], ...] = (PieceDrawn,)
"""The kinds of this module, for the registry."""
