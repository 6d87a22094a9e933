"""Entries by station, kind, person and period, newest first, some at a time.

Theory of operation
-------------------
Blocks of the journal say which stations, badges and kinds are in them (`ledger/entry_tally.py`); only those that hold all that
is asked for are read, from the end on, and the entries after the last block. When an entry happened stands in the entry alone,
so a period is looked for entry by entry. A question that finds little stops after `_MOST_READ` and says where to go on.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, text

from tracelink.facts.upkeep.journal_page import EntriesAsked, JournalPage, ListedEntry
from tracelink.ledger.entry_tally import BLOCK
from tracelink.store.compact.stored_rows import said

_MOST_READ = 10_000
"""Entries read for one page: less than a second of a processor."""
_LAST = text("SELECT MAX(seq) FROM journal")
_BLOCKS = text("SELECT block FROM entry_block WHERE name = :name")
_ROWS = text("SELECT stored FROM journal WHERE seq > :after AND seq <= :upto ORDER BY seq DESC")


def entries_before(conn: Connection, asked: EntriesAsked, newest: int | None, most: int) -> JournalPage:
    """Return a page of entries.

    Args:
        conn: a connection that reads one state.
        asked: which ones.
        newest: number of the first entry to look at; None for the last of the journal.
        most: entries on a page.

    Raises:
        NotCanonical: an entry cannot be read.
    """
    size = int(conn.execute(_LAST).scalar() or 0)
    first = size if newest is None else min(newest, size)
    found: list[ListedEntry] = []
    read = 0
    for after, upto in _stretches(conn, asked, size, first):
        if read >= _MOST_READ:
            return JournalPage(tuple(found), first, upto)
        for row in conn.execute(_ROWS, {"after": after, "upto": upto}):
            entry = said(row.stored)
            read += 1
            if _is_asked_for(entry, asked):
                if len(found) == most:
                    return JournalPage(tuple(found), first, entry["seq"])
                found.append(_listed(entry))
    return JournalPage(tuple(found), first, None)


def _stretches(conn: Connection, asked: EntriesAsked, size: int, first: int) -> Iterator[tuple[int, int]]:
    """Yield (entry before, last entry) of each block of a journal of `size` to read, from `first` back to the beginning."""
    blocks = range(size // BLOCK)
    holds = set(blocks)
    for name in filter(None, (asked.station, asked.kind, asked.person)):
        holds &= set(conn.execute(_BLOCKS, {"name": name}).scalars())
    if first > len(blocks) * BLOCK:
        yield len(blocks) * BLOCK, first
    for block in reversed(blocks):
        if block in holds and block * BLOCK < first:
            yield block * BLOCK, min((block + 1) * BLOCK, first)


def _is_asked_for(entry: dict[str, Any], asked: EntriesAsked) -> bool:
    given = (("station", asked.station), ("kind", asked.kind), ("person", asked.person))
    # A day is the beginning of the text of a time, as whoever was there read it.
    day = str(entry["event_time"])[:10]
    return (
        all(value is None or entry[name] == value for name, value in given)
        and (asked.since is None or asked.since <= day)
        and (asked.until is None or day <= asked.until)
    )


def _listed(entry: dict[str, Any]) -> ListedEntry:
    return ListedEntry(
        entry["seq"],
        entry["kind"],
        entry["event_time"],
        entry["recorded_at"],
        entry["station"],
        entry["person"],
        entry["reason"] or "",
    )
