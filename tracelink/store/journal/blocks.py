"""Where in the journal a name is found: grown with every 256th entry, read with the few entries after it."""

from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import BindParameter, Connection, TextClause, text

from tracelink.errors import NotCanonical
from tracelink.ledger.entry_tally import BLOCK, EntryBlocks
from tracelink.store.compact.stored_rows import actors_said
from tracelink.store.database.in_lists import text_list
from tracelink.store.journal.projection import carry_out
from tracelink.store.statements import short_reads

_ROWS = text("SELECT seq, kind, stored FROM journal WHERE seq > :after ORDER BY seq")
_NAMES: BindParameter[Any] = text_list("names")
_BLOCKS = text("SELECT DISTINCT block FROM entry_block WHERE name IN :names ORDER BY block").bindparams(
    _NAMES
)
_LAST = text("SELECT MAX(seq) FROM journal")


def grow(conn: Connection, size: int) -> None:
    """Note what is in the block that the last entry completes, in the transaction of `conn`.

    Args:
        conn: a connection inside the write transaction that appended the entry.
        size: number of entries, that one included.
    """
    if size % BLOCK:
        return
    blocks = EntryBlocks()
    for seq, kind, stored in short_reads.tuples(conn, _ROWS, {"after": size - BLOCK}):
        blocks.entry(seq, kind, *_actors(stored))
    carry_out(conn, blocks.rows())


def _actors(stored: bytes) -> tuple[str | None, ...]:
    try:
        return actors_said(stored)
    except NotCanonical:
        # Whoever scans now has not done it, and need not stop for it: `audit verify` tells of it.
        return ()


def rows_with(
    conn: Connection, names: Sequence[str], query: TextClause, values: dict[str, object]
) -> Iterator[Any]:
    """Yield the rows of a query about entries, asked of those parts of the journal that hold a name.

    Args:
        conn: a connection that reads one state.
        names: stations, badges or kinds of entries, of which one is enough.
        query: with `seq > :after AND seq <= :upto` among its conditions, in the order of `seq`.
        values: its other parameters.
    """
    for after, upto in _stretches(conn, names):
        yield from conn.execute(query, {**values, "after": after, "upto": upto})


def _stretches(conn: Connection, names: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Yield (entry before, last entry) of each stretch of blocks that hold a name; blocks that touch are one."""
    size = int(conn.execute(_LAST).scalar() or 0)
    complete = size // BLOCK
    begun = end = 0
    # The entries after the last block are looked at in any case.
    for block in [*conn.execute(_BLOCKS, {"names": list(names)}).scalars(), complete]:
        if block > end:
            if end > begun:
                yield begun * BLOCK, end * BLOCK
            begun = block
        end = block + 1
    yield begun * BLOCK, size
