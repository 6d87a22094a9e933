"""Scans of a log that bear a number under which something else was booked at their station."""

import json
from collections.abc import Iterable

from sqlalchemy import Connection, select

from tracelink.ledger.packs import RawScan, storable, unpack_scans
from tracelink.ledger.pins import PIN_MARK
from tracelink.store.database.tables_stations import spool
from tracelink.store.journal import journal


def first_renumbered(conn: Connection, station: str, scans: Iterable[RawScan]) -> RawScan | None:
    """Return the first scan that is another one than was booked under its number; None if there is none.

    Args:
        conn: a connection to the ledger.
        station: its code.
        scans: what a log holds; numbers that were not booked yet are passed over.
    """
    booked = {
        scan.number: scan.raw
        for row in journal.rows(conn)
        if row.pack is not None and json.loads(row.canonical).get("station") == station
        for scan in unpack_scans(row.pack)
    }
    waiting = select(spool.c.number, spool.c.raw).where(spool.c.station == station)
    booked.update((row.number, row.raw) for row in conn.execute(waiting))
    for scan in scans:
        raw = storable(scan.raw)
        # A PIN is kept nowhere: the mark that stands for it may stand for what the log holds.
        if booked.get(scan.number, raw) not in (raw, PIN_MARK):
            return scan
    return None
