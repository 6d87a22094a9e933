"""The clock by which scans are recorded: one for all machines that write to a ledger.

A ledger in a file is written by one machine, and its clock says when. One on a server is written by many, whose clocks may
differ; there the clock of the server says it, which comes with the write lock. So no clock of a station decides how long
discs rested, or how long somebody waits after a wrong PIN.
"""

from collections.abc import Callable

from sqlalchemy import Connection

from tracelink.clock import utc_now
from tracelink.store.statements import kept_rows


def recording_clock(conn: Connection, now: Callable[[], str]) -> Callable[[], str]:
    """Return what gives the recording times of a transaction.

    Args:
        conn: its connection, which has the write lock.
        now: the clock of the ledger; `utc_now`, that of this machine, gives way to that of a server.
    """
    keeping = kept_rows.of(conn)
    clock = None if keeping is None or now is not utc_now else keeping.clock
    return now if clock is None else lambda: clock
