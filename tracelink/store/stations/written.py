"""What a transaction leaves of stations, and how it is looked for where nobody knows whether it was committed."""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, func, select, text
from sqlalchemy.sql.base import Executable

from tracelink.ledger.proof.chain import Head
from tracelink.station.common.station_facts import LastScan
from tracelink.store.database.columns import server_text
from tracelink.store.database.tables_stations import last_scan, station
from tracelink.store.statements import short_reads

_LAST_OF = select(last_scan.c.number, last_scan.c.at).where(last_scan.c.station == bindparam("station"))
DESK = select(station.c.area, station.c.last_number, station.c.desk).where(
    station.c.code == bindparam("code")
)
TURNS = select(func.sum(station.c.last_number).label("turns"))
"""How many scans were booked: each station numbers its own without gaps."""
_KEEP = (
    station.update()
    .where(station.c.code == bindparam("key"))
    .values(last_number=bindparam("number"), desk=bindparam("text"))
)
_LAST_SCAN = text(
    "INSERT INTO last_scan (station, number, at, raw, refused) VALUES (:station, :number, :at, :raw, :refused) "
    "ON CONFLICT (station) DO UPDATE SET number = excluded.number, at = excluded.at, raw = excluded.raw, refused = excluded.refused"
)

Writing = tuple[Executable, Mapping[str, object]]
"""A write of a constant statement, with its values."""


def desk_kept(code: str, number: int, desk: str) -> Writing:
    """Return what writes the number of the last scan of a station, and what it has in hand."""
    return _KEEP, {"key": code, "number": number, "text": desk}


def last_scan_kept(code: str, number: int, last: LastScan) -> Writing:
    """Return what writes which scan of a station was the last."""
    values = {"at": last.at, "raw": server_text(last.raw), "refused": int(last.refused)}
    return _LAST_SCAN, {"station": code, "number": number, **values}


@dataclass(frozen=True, slots=True)
class Written:
    """Where a transaction left the ledger."""

    head: Head | None
    """The head of the journal when it ended; None if it did not look."""
    scans: Mapping[str, tuple[int, str]]
    """Station -> number and time of the last scan that it booked there."""


def is_kept(conn: Connection, what: Written) -> bool | None:
    """Say whether the ledger holds what a transaction wrote; None if it cannot tell.

    Args:
        conn: a connection that was opened after the transaction.
        what: where it left the ledger.
    """
    from tracelink.store.journal import journal  # noqa: PLC0415  needed after a broken connection only

    head = what.head
    if head is not None and head.seq and journal.hash_at(conn, head.seq) != head.hash:
        return False
    for code, (number, at) in what.scans.items():
        found = short_reads.first(conn, _LAST_OF, {"station": code})
        if found is None or found.number < number:
            return False
        if found.number > number:
            # Somebody scanned at the station since: after this scan, or instead of it.
            return None
        if found.at != at:
            return False
    return True
