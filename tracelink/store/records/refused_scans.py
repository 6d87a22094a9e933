"""What stations refused, and why."""

from sqlalchemy import Connection, text

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


def kinds_refused(conn: Connection) -> list[str]:
    """Return the kinds of findings that are recorded, by name."""
    return list(conn.execute(_KINDS).scalars())
