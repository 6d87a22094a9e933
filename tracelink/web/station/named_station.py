"""Which station an address means."""

from __future__ import annotations

from runout import OpenLedger
from tracelink.errors import UnknownCode
from tracelink.ledger.work_areas import AREAS


def station_named(ledger: OpenLedger, code: str) -> tuple[str, str]:
    """Return the work area and the name of a station that is not closed.

    Raises:
        UnknownCode: there is none.
    """
    for area in AREAS:
        name = ledger.stations.of_area(area).get(code)
        if name is not None:
            return area, name
    raise UnknownCode(f"there is no station {code[:40]!r}: expected one of those listed at /station")
