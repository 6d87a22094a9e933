"""What a transaction wrote, looked for in the ledger where nobody knows whether it was committed."""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, select

from tracelink.ledger.proof.chain import Head
from tracelink.store.database.tables_stations import last_scan
from tracelink.store.journal import journal
from tracelink.store.statements import short_reads

_LAST_OF = select(last_scan.c.number, last_scan.c.at).where(last_scan.c.station == bindparam("station"))


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
