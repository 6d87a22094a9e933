"""Holds, investigations and balances."""

from __future__ import annotations

from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from runout import open_ledger
from tracelink.report.format import balance_rows
from tracelink.report.format.document import Bullets, FramedNote
from tracelink.report.format.table import Column, Kind, table
from tracelink.web.lists.page_parts import section, shown

_HOLDS = (
    Column("hold", "hold"),
    Column("subject", "item held"),
    Column("first", "from stroke", Kind.NUMBER),
    Column("last", "to stroke", Kind.NUMBER),
    Column("cause", "because of"),
    Column("reason", "reason", Kind.TEXT),
    Column("person", "placed by"),
    Column("seq", "entry", Kind.ENTRY),
    Column("lifted_seq", "lifted by entry", Kind.ENTRY),
)
_INVESTIGATIONS = (
    Column("seq", "number", Kind.ENTRY),
    Column("subject", "about"),
    Column("difference", "difference", Kind.DIFFERENCE),
    Column("reason", "reason", Kind.TEXT),
    Column("person", "opened by"),
    Column("closed_seq", "closed by entry", Kind.ENTRY),
)
_MOST = 500
"""Rows of a list on a page."""


class QualityPages:
    """What is held, what is looked into, what adds up."""

    def __init__(self, place: str) -> None:
        """Read one ledger.

        Args:
            place: its path or URL.
        """
        self._place = place

    def holds(self, request: Request) -> Response:
        """Show what is on hold, and lifted holds if they are asked for."""
        lifted = "lifted" in request.query_params
        with open_ledger(self._place, read_only=True) as ledger:
            rows = ledger.holds(lifted=lifted).to_dict()
            listed = table("", "Items held", _HOLDS, rows[:_MOST], "Nothing is on hold.")
            other = ("/holds", "only open ones") if lifted else ("/holds?lifted=yes", "lifted ones too")
            acts = (("/act/hold", "Put a thing on hold"), ("/act/lift-hold", "Lift a hold"), other)
            return shown(ledger, "Holds", [section("Items held", listed, *_left_out(len(rows)))], acts)

    def investigations(self, request: Request) -> Response:
        """Show the open investigations, and closed ones if they are asked for."""
        closed = "closed" in request.query_params
        with open_ledger(self._place, read_only=True) as ledger:
            rows = ledger.investigations.listed(closed=closed).to_dict()
            listed = table("", "Investigations", _INVESTIGATIONS, rows[:_MOST], "None is open.")
            other = (
                ("/investigations", "only open ones")
                if closed
                else ("/investigations?closed=yes", "closed ones too")
            )
            acts = (("/act/investigate", "Open one"), ("/act/close-investigation", "Close one"), other)
            return shown(
                ledger, "Investigations", [section("Differences", listed, *_left_out(len(rows)))], acts
            )

    def balance(self, request: Request) -> Response:
        """Show whether a lot or labels add up."""
        subject = request.query_params.get("of", "").strip().upper()
        with open_ledger(self._place, read_only=True) as ledger:
            if not subject:
                return shown(ledger, "Does it add up?", [], template="balance.html.j2", subject="")
            found = ledger.balance(subject)
            # Each row says its line: a reader that says the first cell of a row has nothing to say of an empty one.
            rows = [
                {**row, "line": whole["line"]}
                for row, whole in zip(balance_rows.for_people(found.rows), found.rows, strict=True)
            ]
            listed = table("", f"Balance of {found.subject}", balance_rows.COLUMNS, rows)
            acts = (
                (f"/act/investigate?{urlencode({'subject': found.subject})}", "Investigate the difference"),
                ("/investigations", "Investigations"),
            )
            title = f"Does {found.subject} add up?"
            sections = [section("Balance", Bullets(found.sentences), listed)]
            return shown(
                ledger,
                title,
                sections,
                acts if found.off else (),
                template="balance.html.j2",
                subject=subject,
            )


def _left_out(count: int) -> tuple[FramedNote, ...]:
    if count <= _MOST:
        return ()
    return (FramedNote(f"{count - _MOST} more are not shown here."),)
