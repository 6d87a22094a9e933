"""Entries of units that come back from a customer, each read by its own serial label.

A unit keeps its identity, so nothing is inferred as for loose discs: it is out of the carton that it was sent in, and that one
holds one unit less.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.warehouse import Nested
from tracelink.ledger.origin import DOCK, Origin
from tracelink.ledger.parts.part_sets import PieceStatus


@dataclass(frozen=True, slots=True)
class UnitCameBack:
    """A unit came back; the entry's reason says why."""

    kind: ClassVar[str] = "unit-came-back"
    export: ClassVar[ExportRule] = ExportRule(
        on("left.child", Things.PARTS) + on("left.parent", Things.CARTONS)
    )
    origin: ClassVar[Origin] = DOCK.needs_reason()
    left: Nested
    """The unit in the carton that it was sent in."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The unit is in nothing any more, and waits for a test."""
        yield self.left.end(entry)
        yield Increase("carton", {"sscc": self.left.parent}, "units", -1)
        yield Update("piece", {"code": self.left.child}, {"status": PieceStatus.RETURNED})
        yield Insert(
            "unit_return",
            {
                "seq": entry.seq,
                "piece": self.left.child,
                "carton": self.left.parent,
                "at": entry.stamp.event_time,
            },
        )


KINDS: tuple[type[EntryBody], ...] = (UnitCameBack,)
"""The kinds of this module, for the registry."""
