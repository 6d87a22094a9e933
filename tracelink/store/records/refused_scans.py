"""What stations refused, and why."""

from sqlalchemy import Connection, text

from tracelink.facts.finding_count import FindingCount
from tracelink.facts.refused_scan import RefusedScan

_WANTED = (
    "FROM finding f WHERE (CAST(:finding AS TEXT) IS NULL OR f.finding = :finding) "
    "AND (CAST(:station AS TEXT) IS NULL OR f.station = :station)"
)
_REFUSED = text(
    "SELECT f.seq, f.at, f.station, f.person, f.finding, f.subject, f.expected, f.found, f.sentence "
    + _WANTED
    + " ORDER BY f.seq DESC LIMIT :last"
)
_ALL = 2**62
_COUNT = text("SELECT COUNT(*) " + _WANTED)
_BY_REASON = text(
    "SELECT f.finding, COUNT(*) AS times, MAX(f.at) AS last "
    + _WANTED
    + " AND f.at >= :since AND f.at < :until GROUP BY f.finding ORDER BY times DESC, f.finding"
)
_FIRST, _LAST = "0", "A"
"""Before and behind every time."""
_KINDS = text("SELECT DISTINCT finding FROM finding ORDER BY finding")


def refused_scans(
    conn: Connection, finding: str | None, station: str | None, last: int | None
) -> list[RefusedScan]:
    """Return what was refused, newest first.

    Args:
        conn: a connection inside a transaction.
        finding: only of this kind; None for all.
        station: only of this station; None for all.
        last: how many at most; None for all.
    """
    # Neither engine takes "no limit" by the same value; no journal holds so many.
    values = {"finding": finding, "station": station, "last": _ALL if last is None else last}
    return [RefusedScan(*row) for row in conn.execute(_REFUSED, values)]


def count_refused(conn: Connection, finding: str | None, station: str | None) -> int:
    """Return how many refusals there are in all, of a kind and a station as for `refused_scans`."""
    return int(conn.execute(_COUNT, {"finding": finding, "station": station}).scalar_one())


def refused_by_reason(
    conn: Connection, station: str | None, since: str | None, until: str | None
) -> list[FindingCount]:
    """Return how often each reason occurred, the most frequent first.

    Args:
        conn: a connection inside a transaction.
        station: only of this station; None for all.
        since: from this local day on, YYYY-MM-DD; None from the first.
        until: before this local day; None to the last.
    """
    values = {"finding": None, "station": station, "since": since or _FIRST, "until": until or _LAST}
    return [FindingCount(*row) for row in conn.execute(_BY_REASON, values)]


def kinds_refused(conn: Connection) -> list[str]:
    """Return the kinds of findings that are recorded, by name."""
    return list(conn.execute(_KINDS).scalars())
