"""The list of browsers that may open stations."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from runout import open_ledger
from tracelink.report.format.table import Column, Kind, table
from tracelink.web.lists.page_parts import section, shown

_COLUMNS = (
    Column("number", "number", Kind.NUMBER),
    Column("name", "browser", Kind.TEXT),
    Column("station", "opens station"),
    Column("person", "enrolled by"),
    Column("at", "when", Kind.TIME),
    Column("reason", "reason", Kind.TEXT),
    Column("withdrawn_by", "withdrawn by entry", Kind.NUMBER),
)
_LINKS = (
    ("/act/enrol-browser", "Enrol this browser"),
    ("/browser", "Key the code of this browser"),
    ("/act/withdraw-browser", "Withdraw one"),
)


class BrowserListPage:
    """Which browsers open stations."""

    def __init__(self, place: str) -> None:
        """Read one ledger.

        Args:
            place: its path or URL.
        """
        self._place = place

    def page(self, _request: Request) -> Response:
        """Show all that were ever enrolled."""
        with open_ledger(self._place, read_only=True) as ledger:
            rows = [
                {**row, "station": row["station"] or "every one"}
                for row in ledger.browsers.listed().to_dict()
            ]
            listed = table("", "Browsers", _COLUMNS, rows, "No browser is enrolled: no station opens in one.")
            return shown(ledger, "Browsers that open stations", (section("Enrolled", listed),), _LINKS)
