"""The journal, looked through page by page: entries by station, kind, person and day."""

from __future__ import annotations

from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from runout import EntriesAsked, JournalPage, OpenLedger, open_ledger
from tracelink.errors import UsageError
from tracelink.report.format.document import Block, TextBlock
from tracelink.report.format.table import Column, Kind, table
from tracelink.web.lists.page_parts import section, shown
from tracelink.web.whole_numbers import MOST_ENTRY, whole_number

_MOST = 50
_ASKED = ("station", "kind", "person", "since", "until")
COLUMNS = (
    Column("seq", "entry", Kind.ENTRY),
    Column("kind", "what", Kind.TEXT),
    Column("happened", "when", Kind.TIME),
    Column("recorded", "recorded", Kind.TIME),
    Column("station", "station"),
    Column("person", "badge"),
    Column("name", "name", Kind.TEXT),
    Column("reason", "reason", Kind.TEXT),
)


class JournalPages:
    """What was recorded, newest first."""

    def __init__(self, place: str) -> None:
        """Read one ledger.

        Args:
            place: its path or URL.
        """
        self._place = place

    def entries(self, request: Request) -> Response:
        """Show a page of the entries that were asked for, with a way to the older ones."""
        given = {name: text for name in _ASKED if (text := request.query_params.get(name, "").strip())}
        for name in ("station", "person"):
            if name in given:
                given[name] = given[name].upper()
        asked, newest = EntriesAsked(**given), _number(request.query_params.get("from", "").strip())
        with open_ledger(self._place, read_only=True) as ledger:
            page = ledger.journal.entries(asked, newest=newest, most=_MOST)
            names = {owner.person: owner.name for owner in ledger.people.everybody().owners}
            rows = [{**row, "name": names.get(str(row["person"]), "")} for row in page.to_dict()]
            listed = table("", "Entries", COLUMNS, rows, "None of the entries looked at is such a one.")
            return shown(
                ledger,
                "Entries of the journal",
                [section("Newest first", _told(page), listed)],
                template="journal.html.j2",
                given=given,
                kinds=sorted(ledger.journal.counts().kinds),
                pages=_pages(page, given, newest, ledger),
            )


def _told(page: JournalPage) -> Block:
    if not page.newest:
        return TextBlock("The journal is empty.")
    oldest = 1 if page.older is None else page.older + 1
    return TextBlock(f"Entries {page.newest} back to {oldest} were looked at.")


def _pages(
    page: JournalPage, given: dict[str, str], newest: int | None, ledger: OpenLedger
) -> list[tuple[str, str]]:
    links = []
    if newest is not None and newest < ledger.head[0]:
        links.append((f"/journal?{urlencode(given)}", "To the newest"))
    if page.older is not None:
        links.append((f"/journal?{urlencode({**given, 'from': page.older})}", f"Older, from {page.older} on"))
    return links


def _number(text: str) -> int | None:
    if not text:
        return None
    found = whole_number(text, MOST_ENTRY, least=1)
    if found is None:
        raise UsageError(f"the entry to begin with is {text[:20]!r}: expected its number, from 1")
    return found
