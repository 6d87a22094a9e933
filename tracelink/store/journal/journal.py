"""Appending to the stored journal, and reading it back in order."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, func, select, text

from tracelink.errors import UnknownCode
from tracelink.ledger.codec import to_body
from tracelink.ledger.entry import FIRST_PREV, Entry, Stamp, entry_hash
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.packs import PackedScans, RawScan, pack_hash, pack_scans
from tracelink.ledger.proof.chain import EMPTY, Head, JournalRow
from tracelink.store.compact.entry_form import stored_form
from tracelink.store.compact.pack_form import stored_pack, taken_apart
from tracelink.store.compact.stored_rows import read_row
from tracelink.store.database.tables_journal import journal, journal_pack
from tracelink.store.journal import subtrees
from tracelink.store.journal.projection import carry_out
from tracelink.store.statements import short_reads
from tracelink.store.statements.short_writes import write

Lines = Callable[[Sequence[tuple[Any, ...]]], None]
"""Takes stored lines of the journal: number, hash, stored form, packed raw scans and kind of each, in order."""

_CHUNK = 1000
"""Rows read at once by `_ROWS`."""

_HEAD = select(journal.c.seq, journal.c.hash).where(
    journal.c.seq == select(func.max(journal.c.seq)).scalar_subquery()
)
_ROWS = text(
    "SELECT j.seq, j.hash, j.stored, p.packed, j.kind FROM journal j LEFT JOIN journal_pack p ON p.seq = j.seq "
    "WHERE j.seq > :after ORDER BY j.seq LIMIT 1000"
)
_SOME = text(
    "SELECT j.seq, j.hash, j.stored, p.packed, j.kind, b.hash AS before FROM journal j "
    "LEFT JOIN journal_pack p ON p.seq = j.seq LEFT JOIN journal b ON b.seq = j.seq - 1 "
    "WHERE j.seq IN :seqs ORDER BY j.seq"
).bindparams(bindparam("seqs", expanding=True))
_SOME_AT_ONCE = 500
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
    return EMPTY if row is None else Head(row.seq, row.hash.hex())


def hash_at(conn: Connection, seq: int) -> str | None:
    """Return the hash of an entry; None if the journal does not reach so far."""
    found = conn.execute(select(journal.c.hash).where(journal.c.seq == seq)).scalar()
    return None if found is None else bytes(found).hex()


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
    store(conn, JournalRow(entry.seq, digest, canonical, pack, entry.kind), written.scans)
    subtrees.grow(conn, entry.seq)
    tally.grow(conn, entry.seq)
    carry_out(conn, written.body.changes(entry))
    return entry, Head(entry.seq, digest)


def store(conn: Connection, row: JournalRow, scans: Sequence[RawScan] | None = None) -> None:
    """Write an entry and the raw scans beside it, as few bytes as they need, and nothing else.

    Args:
        conn: a connection inside a write transaction.
        row: the entry, whole.
        scans: its raw scans, where they were packed just now.
    """
    values = {"seq": row.seq, "hash": bytes.fromhex(row.hash), "kind": row.kind}
    write(conn, _INSERT, {**values, "stored": stored_form(row.canonical)})
    if row.pack is not None:
        write(conn, _INSERT_PACK, {"seq": row.seq, "packed": stored_pack(row.pack, row.seq, scans)})


def rows(conn: Connection, after: int = 0, seen: Lines = lambda _lines: None) -> Iterator[JournalRow]:
    """Yield the journal in order, from the entry after `after`; what is read is shown to `seen` first.

    Raw scans that cannot be unpacked are handed over as found, so that the chain check names the entry.
    """
    yield from read_in_order(
        Head(after, hash_at(conn, after) or FIRST_PREV), _stored_after(conn, after, seen)
    )


def _stored_after(conn: Connection, after: int, seen: Lines) -> Iterator[tuple[Any, ...]]:
    while True:
        chunk = short_reads.tuples(conn, _ROWS, {"after": after})
        seen(chunk)
        yield from chunk
        if len(chunk) < _CHUNK:
            return
        after = chunk[-1][0]


def read_in_order(before: Head, stored: Iterable[tuple[Any, ...]]) -> Iterator[JournalRow]:
    """Yield stored lines of the journal as rows.

    Args:
        before: the entry before the first of them.
        stored: number, hash, stored form, packed raw scans and kind of each, in order.
    """
    seq, digest = before.seq, before.hash
    for line in stored:
        row = _whole(line, digest if line[0] == seq + 1 else None)
        seq, digest = row.seq, row.hash
        yield row


def _whole(stored: tuple[Any, ...], prev: str | None) -> JournalRow:
    """Return a stored line as a row; `prev` is the hash of the entry before, None if that is not there."""
    seq, digest, content, packed, kind = stored
    scans = PackedScans(None) if packed is None else taken_apart(bytes(packed), seq)
    return read_row(Head(seq, bytes(digest).hex()), bytes(content), scans, kind, prev)


def rows_at(conn: Connection, seqs: Iterable[int]) -> Iterator[JournalRow]:
    """Yield some entries, in the order of the journal; those that it does not have are left out."""
    wanted = sorted(set(seqs))
    for start in range(0, len(wanted), _SOME_AT_ONCE):
        for *stored, before in conn.execute(_SOME, {"seqs": wanted[start : start + _SOME_AT_ONCE]}):
            prev = FIRST_PREV if stored[0] == 1 else before and bytes(before).hex()
            yield _whole(tuple(stored), prev)


def row_at(conn: Connection, seq: int) -> JournalRow:
    """Return one entry.

    Raises:
        UnknownCode: the journal does not reach so far.
    """
    row = next(rows_at(conn, [seq]), None)
    if row is None:
        raise UnknownCode(f"the ledger has no entry {seq}: its last one is {head(conn).seq}")
    return row
