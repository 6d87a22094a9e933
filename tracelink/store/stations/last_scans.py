"""When each station scanned last, and what of it lies in the spool."""

from dataclasses import dataclass

from sqlalchemy import Connection, text

from tracelink.station import station_states
from tracelink.station.line.state import LineState

_LAST = text(
    "SELECT s.code, s.area, s.desk, l.at, COUNT(p.number) AS spooled, MIN(p.at) AS oldest FROM station s "
    "LEFT JOIN last_scan l ON l.station = s.code LEFT JOIN spool p ON p.station = s.code "
    "WHERE NOT EXISTS (SELECT 1 FROM plant_change c WHERE c.subject = s.code AND c.field = 'station') "
    "GROUP BY s.code, s.area, s.desk, l.at ORDER BY s.code"
)


@dataclass(frozen=True, slots=True)
class ScansSoFar:
    """The scans of a station that is not closed."""

    station: str
    last_at: str | None
    """Local time of its last scan; None if it has none."""
    is_signed_on: bool
    spooled: int
    """Scans that are not closed into an entry."""
    oldest_at: str | None
    """Local time of the first of those."""
    since_check: int | None
    """Units of a packing line since its last CHECK; None elsewhere."""


def last_scans(conn: Connection) -> list[ScansSoFar]:
    """Return the scans of each station that is not closed, by code."""
    found = []
    for row in conn.execute(_LAST):
        state = station_states.read_state(row.area, row.desk)
        since_check = state.without_check if isinstance(state, LineState) else None
        found.append(ScansSoFar(row.code, row.at, bool(state.person), row.spooled, row.oldest, since_check))
    return found
