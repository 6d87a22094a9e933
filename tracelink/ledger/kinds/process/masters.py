"""Entries of a master before it is cut: its blank, and which side of which disc it is to be."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Things, on
from tracelink.ledger.origin import TOOL_ROOM, Origin


@dataclass(frozen=True, slots=True)
class BlankInspected:
    """A blank was inspected and got the tag of the master that it is to be, before anything is cut."""

    kind: ClassVar[str] = "blank-inspected"
    export: ClassVar[ExportRule] = ExportRule(
        (*on("tool", Things.TOOLS), *on("gtin", Things.GTINS)),
        no_event=NoEvent.SAYS_WHAT_IS,
    )
    origin: ClassVar[Origin] = TOOL_ROOM
    tool: str
    blank: str
    """The maker's number on the blank, as typed."""
    gtin: str
    """Of the product, from its barcode."""
    piece: int
    """Which disc of the product, from 1."""
    side: str
    """A or B."""
    matrix: str
    """The matrix number that is to be cut."""
    fault: str | None
    """What is wrong with the blank; None if it is good and may be cut."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield Insert(
            "blank",
            {
                "tool": self.tool,
                "blank": self.blank,
                "gtin": self.gtin,
                "piece": self.piece,
                "side": self.side,
                "matrix": self.matrix,
                "fault": self.fault,
                "at": entry.stamp.event_time,
                "seq": entry.seq,
            },
        )


KINDS = (BlankInspected,)
