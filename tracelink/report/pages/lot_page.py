"""The genealogy of one lot as a page."""

from __future__ import annotations

from tracelink.facts.lot_stops import NO_STOPS, LotStops
from tracelink.genealogy.model.records import Records
from tracelink.report.format.page import printed_page
from tracelink.report.pages.lot_view import lot_view


def lot_page(records: Records, lot: str, *, at: str, stops: LotStops = NO_STOPS) -> str:
    """The genealogy of one lot: what it was pressed with, how it was judged, where its discs went and are.

    Args:
        records: the records.
        lot: the lot's code.
        at: when the page is made, RFC 3339 with offset.
        stops: holds and cases about what the page shows.

    Returns:
        A whole HTML document.

    Raises:
        UnknownCode: no record describes a lot of that code.
    """
    return printed_page("lot.html.j2", records.head(), at, lot_view(records, lot, at=at, stops=stops))
