"""Appending to the stored journal, and reading it back in order."""

import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, func, select, text

from tracelink.errors import UnknownCode
from tracelink.ledger.codec import to_body
from tracelink.ledger.entry import Entry, Stamp, entry_hash
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.packs import RawScan, pack_hash, pack_scans
from tracelink.ledger.proof.chain import EMPTY, Head, JournalRow
from tracelink.store.database.tables_journal import journal, journal_pack
from tracelink.store.journal import subtrees
from tracelink.store.journal.projection import carry_out
from tracelink.store.statements import short_reads
from tracelink.store.statements.short_writes import write

_CHUNK = 1000
"""Rows read at once by `_ROWS`."""

_HEAD = select(journal.c.seq, journal.c.hash).where(
    journal.c.seq == select(func.max(journal.c.seq)).scalar_subquery()
)
_ROWS = text(
    "SELECT j.seq, j.hash, j.canonical, p.packed, j.kind FROM journal j LEFT JOIN journal_pack p ON p.seq = j.seq "
    "WHERE j.seq > :after ORDER BY j.seq LIMIT 1000"
)
_INSERT = journal.insert()
_INSERT_PACK = journal_pack.insert()


@dataclass(frozen=True, slots=True)
class NewEntry:
    """One act, ready to be written: what happened, under which stamp, with which raw scans."""

    body: EntryBody
    stamp: Stamp
    reason: str | None = None
    corrects: int | None = None
    scans: Sequence[RawScan] = ()


def head(conn: Connection) -> Head:
    """Return where the journal ends."""
    row = short_reads.first(conn, _HEAD, {})
    return EMPTY if row is None else Head(row.seq, row.hash)


def hash_at(conn: Connection, seq: int) -> str | None:
    """Return the hash of an entry; None if the journal does not reach so far."""
    found = conn.execute(select(journal.c.hash).where(journal.c.seq == seq)).scalar()
    return None if found is None else str(found)


def append(conn: Connection, written: NewEntry, last: Head | None = None) -> tuple[Entry, Head]:
    """Write one entry at the end of the journal and project it, in the transaction of `conn`.

    Args:
        conn: a connection inside a write transaction.
        written: the act.
        last: the head, if the caller knows it.
    """
    from tracelink.store.journal import tally  # noqa: PLC0415  needed where something is written only

    last = last or head(conn)
    pack = pack_scans(written.scans) if written.scans else None
    entry = Entry(
        seq=last.seq + 1,
        stamp=written.stamp,
        kind=written.body.kind,
        body=to_body(written.body),
        prev=last.hash,
        reason=written.reason,
        corrects=written.corrects,
        scans=None if pack is None else pack_hash(pack),
    )
    canonical = entry.canonical()
    digest = entry_hash(canonical)
    write(conn, _INSERT, {"seq": entry.seq, "hash": digest, "kind": entry.kind, "canonical": canonical})
    if pack is not None:
        write(conn, _INSERT_PACK, {"seq": entry.seq, "packed": zlib.compress(pack, 6)})
    subtrees.grow(conn, entry.seq)
    tally.grow(conn, entry.seq)
    carry_out(conn, written.body.changes(entry))
    return entry, Head(entry.seq, digest)


def rows(conn: Connection, after: int = 0) -> Iterator[JournalRow]:
    """Yield the journal in order, from the entry after `after`.

    Raw scans that cannot be unpacked are handed over as found, so that the chain check names the entry.
    """
    while True:
        chunk = short_reads.tuples(conn, _ROWS, {"after": after})
        for seq, digest, canonical, packed, kind in chunk:
            yield JournalRow(seq, digest, bytes(canonical), unpacked(packed), kind)
        if len(chunk) < _CHUNK:
            return
        after = chunk[-1][0]


def row_at(conn: Connection, seq: int) -> JournalRow:
    """Return one entry.

    Raises:
        UnknownCode: the journal does not reach so far.
    """
    row = next(rows(conn, seq - 1), None)
    if row is None or row.seq != seq:
        raise UnknownCode(f"the ledger has no entry {seq}: its last one is {head(conn).seq}")
    return row


def unpacked(packed: bytes | None) -> bytes | None:
    """Return raw scans as they were packed; bytes that cannot be unpacked as they are."""
    if packed is None:
        return None
    try:
        return zlib.decompress(packed)
    except zlib.error:
        return bytes(packed)
