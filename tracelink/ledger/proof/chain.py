"""The hash chain: make the next entry, verify a journal.

A chain shows that something was changed and where; it cannot show that its tail was rewritten or cut off
unless an earlier head is kept elsewhere. `verify_chain` therefore returns the head for keeping.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from enum import Enum, auto

from tracelink.errors import JournalError, NewerJournal
from tracelink.ledger.entry import FIRST_PREV, Entry, entry_hash, read_entry
from tracelink.ledger.packs import PackedScans
from tracelink.ledger.proof.chain_faults import ChainFault, Changed, FaultKind


@dataclass(frozen=True, slots=True)
class Head:
    """Where a journal ends: everything before it is fixed by this hash."""

    seq: int
    """Number of entries; 0 for an empty journal."""
    hash: str
    """Hash of the last entry, hexadecimal; 64 zeros for an empty journal."""


EMPTY = Head(0, FIRST_PREV)


class Lacking(Enum):
    """A hash that an entry is stored without, where what it is a hash of is not there, or is another."""

    PREV = auto()
    """Of the entry before."""
    SCANS = auto()
    """Of its raw scans."""


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
    lacks: frozenset[Lacking] = frozenset()
    """Which hashes could not be brought back: `canonical` has only their first digits, and has no hash of its own."""
    taken_apart: PackedScans | None = field(default=None, compare=False)
    """The same raw scans where the store had them apart already; None if `pack` is yet to be read."""

    @property
    def scans(self) -> PackedScans:
        """The raw scans."""
        known = self.taken_apart
        # A row may have been made of another, with other bytes.
        return known if known is not None and known.pack is self.pack else PackedScans(self.pack)


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
        found = inspect(row, head)
        if found.faults:
            raise found.faults[0].error
        head = Head(row.seq, row.hash)
        if visit is not None and found.entry is not None:
            visit(found.entry)
    return head


@dataclass(frozen=True, slots=True)
class InspectedEntry:
    """One stored line of the journal, and all that is wrong with it."""

    row: JournalRow
    entry: Entry | None
    """None if its bytes are no entry."""
    digest: str
    """Hash of the bytes as they are, hexadecimal."""
    leaf: str
    """The hash that the entry had when the next one was written, as far as can be told."""
    faults: tuple[ChainFault, ...] = ()


def inspect_chain(rows: Iterable[JournalRow]) -> Iterator[InspectedEntry]:
    """Look at a whole journal and go on after faults, so that each of them is told once, at its place.

    Raises:
        NewerJournal: an entry was written by a later version.
    """
    last: InspectedEntry | None = None
    head = EMPTY
    for row in rows:
        found = inspect(row, head, None if last is None else last.digest)
        if last is not None:
            yield _told_by_next(last, found)
        last, head = found, Head(row.seq, row.hash)
    if last is not None:
        yield last


def inspect(row: JournalRow, head: Head, or_prev: str | None = None) -> InspectedEntry:
    """Check one row against the head before it.

    Args:
        row: the row.
        head: where the journal ended before it.
        or_prev: another hash that the entry may name as the one before.

    Raises:
        NewerJournal: the entry was written by a later version.
    """
    if row.lacks:
        row = _completed(row, or_prev)
    # Of an entry without one of its hashes it cannot be told whether it has the hash recorded.
    seq, digest = row.seq, row.hash if row.lacks else entry_hash(row.canonical)
    follows = seq == head.seq + 1
    if follows and digest == row.hash and not row.lacks:
        whole = _whole(row, head, or_prev)
        if whole is not None:
            return InspectedEntry(row, whole, digest, digest)
    faults: list[ChainFault] = []
    if not follows:
        faults.append(ChainFault(FaultKind.MISSING, head.seq + 1, found=str(seq)))
    if digest != row.hash:
        faults.append(ChainFault(FaultKind.CONTENT, seq, row.hash, digest))
    try:
        entry = read_entry(row.canonical)
    except JournalError as problem:
        if isinstance(problem, NewerJournal) and not faults:
            raise
        faults.append(ChainFault(FaultKind.UNREADABLE, seq, found=str(problem)))
        return InspectedEntry(row, None, digest, row.hash, tuple(faults))
    before = None if not follows or entry.prev == or_prev else head
    faults += _own_faults(row, entry, before)
    return InspectedEntry(row, entry, digest, row.hash, tuple(faults))


def _completed(row: JournalRow, or_prev: str | None) -> JournalRow:
    """Return an entry that lacks the hash of the one before with the other hash that this one may have, if it begins so."""
    if row.lacks != {Lacking.PREV} or or_prev is None:
        return row
    before, mark, rest = row.canonical.decode("utf-8").rpartition('"prev":"')
    digits, quote, ending = rest.partition('"')
    if not or_prev.startswith(digits):
        return row
    return replace(row, canonical=f"{before}{mark}{or_prev}{quote}{ending}".encode(), lacks=frozenset())


def _whole(row: JournalRow, head: Head, or_prev: str | None) -> Entry | None:
    """Return the entry of a row with the right number and hash if all the rest is right too: nearly always."""
    try:
        entry = read_entry(row.canonical)
    except JournalError:
        return None
    is_whole = (
        entry.seq == row.seq
        and entry.prev in (head.hash, or_prev)
        and row.kind in (None, entry.kind)
        and entry.scans == row.scans.hash
    )
    return entry if is_whole else None


def _own_faults(row: JournalRow, entry: Entry, head: Head | None) -> Iterator[ChainFault]:
    """Yield what is wrong with a readable entry: its number, its filing, the entry before, its raw scans."""
    seq, packed = row.seq, row.scans.hash
    if entry.seq != seq:
        yield ChainFault(FaultKind.NUMBER, seq, found=str(entry.seq))
    if row.kind not in (None, entry.kind):
        yield ChainFault(FaultKind.FILING, seq, entry.kind, row.kind)
    if head is not None and entry.prev != head.hash:
        yield ChainFault(FaultKind.LINK, seq, head.hash, entry.prev)
    if packed != entry.scans:
        yield ChainFault(FaultKind.SCANS, seq, entry.scans, packed)


def _told_by_next(last: InspectedEntry, following: InspectedEntry) -> InspectedEntry:
    """Say whether content or hash of an entry was changed: the entry after it names what the hash was."""
    seq, entry = last.row.seq, following.entry
    if last.digest == last.row.hash or entry is None or following.row.seq != seq + 1:
        return last
    if entry.prev == last.row.hash:
        changed = Changed.CONTENT
    elif entry.prev == last.digest:
        changed = Changed.HASH
    else:
        return last
    faults = tuple(
        replace(one, changed=changed) if one.kind is FaultKind.CONTENT else one for one in last.faults
    )
    return replace(last, leaf=entry.prev, faults=faults)
