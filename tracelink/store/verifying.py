"""Is a ledger what its journal says? One answer for `audit verify`, `backup` and `restore`."""

from collections.abc import Callable

from sqlalchemy import Connection, insert, select

from tracelink.ledger.chain import Head
from tracelink.store import journal, rebuild
from tracelink.store.engine import ledger_url, open_engine
from tracelink.store.schema import upgrade
from tracelink.store.tables import spool


def verify_ledger(live: Connection, progress: Callable[[int], None]) -> tuple[Head, list[str]]:
    """Check the chain, and every table row against a replay of the journal in memory.

    Args:
        live: a connection that sees one consistent state.
        progress: called with each sequence number reached.

    Returns:
        The head, and a sentence for each difference between tables and journal.

    Raises:
        BrokenChain: names the first entry that does not follow.
    """
    fresh = open_engine(ledger_url("sqlite://"))
    try:
        upgrade(fresh)
        with fresh.begin() as target:
            spooled = [dict(row) for row in live.execute(select(spool)).mappings()]
            head = rebuild.replay(target, journal.rows(live), spooled, progress)
            if spooled:
                target.execute(insert(spool), spooled)
            return head, rebuild.differences(live, target)
    finally:
        fresh.dispose()
