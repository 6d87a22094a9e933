"""Entries of the tool room: a master comes in, tools are grown from tools, a tool is retired."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert, Update
from tracelink.ledger.closed_sets import ToolStatus
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Things, on
from tracelink.ledger.origin import OF_PARTNERS, TOOL_ROOM, Origin


@dataclass(frozen=True, slots=True)
class MasterRegistered:
    """A lacquer or copper master, one side of one disc, known by its matrix number."""

    kind: ClassVar[str] = "master-registered"
    export: ClassVar[ExportRule] = ExportRule(on("tool", Things.TOOLS))
    origin: ClassVar[Origin] = TOOL_ROOM
    tool: str
    what: str
    """lacquer or copper."""
    side: str
    """A or B: which side of its disc."""
    matrix: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One tool row without parent."""
        yield _tool_row(entry, self, None)


@dataclass(frozen=True, slots=True)
class ToolGrown:
    """A tool was grown from another; side and matrix number are copied by the metal."""

    kind: ClassVar[str] = "tool-grown"
    export: ClassVar[ExportRule] = ExportRule(on("tool", Things.TOOLS))
    origin: ClassVar[Origin] = TOOL_ROOM
    tool: str
    what: str
    """father, mother or stamper."""
    parent: str
    side: str
    matrix: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One tool row under its parent."""
        yield _tool_row(entry, self, self.parent)


@dataclass(frozen=True, slots=True)
class ToolReceived:
    """A tool that another plant made came in; what it was grown from is in that plant's records."""

    kind: ClassVar[str] = "tool-received"
    export: ClassVar[ExportRule] = ExportRule(on("tool", Things.TOOLS), no_event=NoEvent.OF_ITS_SENDER)
    origin: ClassVar[Origin] = OF_PARTNERS
    tool: str
    """The plant code that stands on it here."""
    what: str
    """father, mother or stamper; lacquer or copper for a master."""
    side: str
    matrix: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One tool row without parent."""
        yield _tool_row(entry, self, None)


@dataclass(frozen=True, slots=True)
class ToolRetired:
    """A tool is not to be used again; the entry's reason says why."""

    kind: ClassVar[str] = "tool-retired"
    export: ClassVar[ExportRule] = ExportRule(on("tool", Things.TOOLS), tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = TOOL_ROOM.needs_reason()
    tool: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The tool's status."""
        yield Update("tool", {"code": self.tool}, {"status": ToolStatus.RETIRED})


def _tool_row(entry: Entry, made: MasterRegistered | ToolGrown | ToolReceived, parent: str | None) -> Insert:
    return Insert(
        "tool",
        {
            "code": made.tool,
            "what": made.what,
            "parent": parent,
            "side": made.side,
            "matrix": made.matrix,
            "status": ToolStatus.IN_USE,
            "made_at": entry.stamp.event_time,
            "seq": entry.seq,
        },
    )
