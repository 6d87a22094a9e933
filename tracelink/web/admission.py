"""Whether a browser may be a station: the one question that every request of a station page asks first."""

from __future__ import annotations

from starlette.requests import HTTPConnection

from tracelink.errors import RefusedByRule
from tracelink.web.entrance.entrance import Entrance, Reading


def may_open_station(connection: HTTPConnection, station: str, reading: Reading | None = None) -> None:
    """Let a browser be a station, or refuse it; a refusal is recorded.

    Args:
        connection: any request of the page of that station, or its line, with its cookies and headers.
        station: code of the station.
        reading: as for `Entrance.opens_station`.

    Raises:
        RefusedByRule: it may not; the sentence stands on the page.
    """
    entrance: Entrance = connection.app.state.entrance
    if entrance.opens_station(connection, station, reading):
        return
    sentence = f"this browser is not enrolled for station {station[:40]}: somebody with the role quality enrols it here, at /act/enrol-browser, or at a terminal, with a code to key at /browser"
    entrance.refused(connection, f"open station {station[:40]}", sentence, is_recorded=False)
    raise RefusedByRule(sentence)
