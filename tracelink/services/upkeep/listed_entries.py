"""Entries of the journal, looked through some at a time."""

from __future__ import annotations

from sqlalchemy import Connection

from tracelink.facts.upkeep.journal_page import EntriesAsked, JournalPage
from tracelink.store.journal.entry_list import entries_before
from tracelink.store.stations.station_list import require_station


def entries(conn: Connection, asked: EntriesAsked, newest: int | None, most: int) -> JournalPage:
    """Return a page of entries, the newest first.

    Args:
        conn: a connection inside a transaction.
        asked: which ones.
        newest: number of the first entry to look at; None for the last of the journal.
        most: entries on a page.

    Raises:
        UsageError: there is no such station.
    """
    if asked.station is not None:
        require_station(conn, asked.station)
    return entries_before(conn, asked, newest, most)
