"""Tools, what was grown from them and what they pressed, read for many tools at a time; see `ahead_rows.py`."""

from collections.abc import Iterable

from sqlalchemy import Connection, text

from tracelink.genealogy.model.facts import SegmentFact, ToolFact
from tracelink.identity.plantcode import CodeKind
from tracelink.store.records.ahead.ahead_rows import AheadRows, asking
from tracelink.store.records.ahead.lots_ahead import SEGMENT
from tracelink.store.statements import short_reads

_TOOL = "code, what, parent, matrix, side, status"
_TOOLS = asking("SELECT code, {tool} FROM tool WHERE code IN ({codes})", tool=_TOOL)
_GROWN = asking("SELECT parent, {tool} FROM tool WHERE parent IN ({codes}) ORDER BY parent, code", tool=_TOOL)
_PRESSED = asking(
    "SELECT stamper_a, {segment} FROM run_segment WHERE stamper_a IN ({codes})"
    " UNION SELECT stamper_b, {segment} FROM run_segment WHERE stamper_b IN ({codes})"
    ' ORDER BY seq, lot, "first"',
    segment=SEGMENT,
)
_USED = text(
    f"SELECT {SEGMENT} FROM run_segment WHERE stamper_a = :code OR stamper_b = :code OR compound = :code "  # noqa: S608  our own names
    'OR label_a = :code OR label_b = :code OR press = :code ORDER BY seq, lot, "first"'
)


class ToolsAhead:
    """Tools, their children and their segments.

    Args:
        conn: a connection inside one transaction, so that what was read stays true.
    """

    def __init__(self, conn: Connection) -> None:
        self._conn = conn
        self._tools = AheadRows(conn, _TOOLS, ToolFact)
        self._grown = AheadRows(conn, _GROWN, ToolFact)
        self._pressed = AheadRows(conn, _PRESSED, SegmentFact)
        self._used: dict[str, list[SegmentFact]] = {}

    def read(self, codes: Iterable[str]) -> None:
        """Read tools that will be asked for; other codes are passed over."""
        wanted = [code for code in codes if _is_tool(code)]
        for rows in (self._tools, self._grown, self._pressed):
            rows.read(wanted)

    def tool(self, code: str) -> ToolFact | None:
        """The tool of that code."""
        return next(iter(self._tools.of(code)), None) if _is_tool(code) else None

    def children_of(self, tool: str) -> list[ToolFact]:
        """The tools grown directly from a tool, by code."""
        return self._grown.of(tool)

    def segments_with(self, code: str) -> list[SegmentFact]:
        """The segments that used a stamper, compound lot, label lot or press."""
        if _is_tool(code):
            return self._pressed.of(code)
        if code not in self._used:
            rows = short_reads.tuples(self._conn, _USED, {"code": code})
            self._used[code] = [SegmentFact(*row) for row in rows]
        return self._used[code]


def _is_tool(code: str) -> bool:
    return code.startswith(CodeKind.TOOL.value)
