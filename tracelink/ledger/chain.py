"""The hash chain: make the next entry, verify a journal.

A chain shows that something was changed and where; it cannot show that its tail was rewritten or cut off
unless an earlier head is kept elsewhere. `verify_chain` therefore returns the head for keeping.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from tracelink.errors import BrokenChain, JournalError, NewerJournal
from tracelink.ledger.entry import FIRST_PREV, Entry, entry_hash, read_entry
from tracelink.ledger.packs import pack_hash


@dataclass(frozen=True, slots=True)
class Head:
    """Where a journal ends: everything before it is fixed by this hash."""

    seq: int
    """Number of entries; 0 for an empty journal."""
    hash: str
    """Hash of the last entry, hexadecimal; 64 zeros for an empty journal."""


EMPTY = Head(0, FIRST_PREV)


@dataclass(frozen=True, slots=True)
class JournalRow:
    """One stored line of the journal."""

    seq: int
    hash: str
    canonical: bytes
    pack: bytes | None
    """Uncompressed raw scans, None if the entry has none."""
    kind: str | None = None
    """The kind stored beside the entry for searching; None where none is stored."""


def verify_chain(
    rows: Iterable[JournalRow],
    start: Head = EMPTY,
    visit: Callable[[Entry], None] | None = None,
) -> Head:
    """Check every row against the one before and return the head.

    Args:
        rows: the journal in order, from the entry after `start`.
        start: a head already verified.
        visit: called with each entry once it is verified.

    Raises:
        BrokenChain: names the first entry that does not follow, and how.
        NewerJournal: an entry was written by a later version.
    """
    head = start
    for row in rows:
        entry = _check(row, head)
        head = Head(row.seq, row.hash)
        if visit is not None:
            visit(entry)
    return head


def _check(row: JournalRow, head: Head) -> Entry:
    expected = head.seq + 1
    if row.seq != expected:
        raise BrokenChain(expected, f"entry {expected} is missing: found entry {row.seq} after {head.seq}")
    found = entry_hash(row.canonical)
    if found != row.hash:
        raise BrokenChain(
            expected,
            f"entry {expected} was changed: its content hashes to {found}, recorded is {row.hash}",
        )
    try:
        entry = read_entry(row.canonical)
    except NewerJournal:
        raise
    except JournalError as problem:
        raise BrokenChain(expected, f"entry {expected}: {problem}") from problem
    if entry.seq != expected:
        raise BrokenChain(expected, f"entry {expected} says it is entry {entry.seq}")
    if row.kind not in (None, entry.kind):
        raise BrokenChain(
            expected,
            f"entry {expected} is of kind {entry.kind!r}, but filed as {row.kind!r}: the filing was changed",
        )
    if entry.prev != head.hash:
        raise BrokenChain(
            expected,
            f"entry {expected} does not follow entry {head.seq}: it names {entry.prev[:16]}... as the entry "
            f"before, found {head.hash[:16]}...",
        )
    packed = None if row.pack is None else pack_hash(row.pack)
    if packed != entry.scans:
        raise BrokenChain(
            expected,
            f"the raw scans beside entry {expected} were changed or taken away: expected "
            f"{_short(entry.scans)}, found {_short(packed)}",
        )
    return entry


def _short(digest: str | None) -> str:
    return "none" if digest is None else f"{digest[:16]}..."
