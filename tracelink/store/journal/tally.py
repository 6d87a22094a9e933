"""The tally of the journal: grown with every sixteenth entry, read with the few entries after it."""

from collections import Counter
from collections.abc import Iterator

from sqlalchemy import Connection, text

from tracelink.errors import NotCanonical
from tracelink.ledger.changes import Change, Increase
from tracelink.ledger.entry_tally import EVERY, EntryTimes, finds_what_is_kept, times_of
from tracelink.ledger.recording_times import ClockLimits
from tracelink.store.journal import blocks
from tracelink.store.journal.projection import carry_out
from tracelink.store.records.entry_stamps import entry_times
from tracelink.store.statements import short_reads

_KEPT = text("SELECT kind, entries FROM entry_count")
_KINDS = text("SELECT kind FROM journal WHERE seq > :after")
_LAST = text("SELECT MAX(seq) FROM journal")
_ODD = text(
    "SELECT seq, late_s, step_s FROM odd_time WHERE late_s > :late OR step_s < :back OR step_s > :ahead"
)


def grow(conn: Connection, size: int) -> None:
    """Tally the entries that make sixteen with the last one, in the transaction of `conn`.

    Args:
        conn: a connection inside the write transaction that appended the entry.
        size: number of entries, that one included.
    """
    if size % EVERY:
        return
    blocks.grow(conn, size)
    changes: list[Change] = [
        Increase("entry_count", {"kind": kind}, "entries", entries)
        for kind, entries in sorted(_kinds_after(conn, size - EVERY).items())
    ]
    try:
        odd = [each.row() for each in _times(conn, size - EVERY) if each.is_kept]
    except NotCanonical:
        # Whoever scans now has not done it, and need not stop for it: `audit verify` tells of it.
        odd = []
    carry_out(conn, [*changes, *odd])


def kind_counts(conn: Connection) -> dict[str, int]:
    """Return how many entries of each kind the journal has."""
    counts: Counter[str] = Counter({str(kind): int(entries) for kind, entries in conn.execute(_KEPT)})
    return dict(counts + _kinds_after(conn, _complete(conn)))


def odd_times(conn: Connection, late_after_minutes: int, limits: ClockLimits) -> Iterator[EntryTimes]:
    """Yield the entries that were recorded late, or whose recording does not go on from the entry before.

    Args:
        conn: a connection that reads one state.
        late_after_minutes: the setting `late_entry_minutes`.
        limits: how far recording times may run back or jump.

    Raises:
        NotCanonical: an entry that has to be read cannot be.
    """
    after = 0
    if finds_what_is_kept(late_after_minutes, limits):
        values = {
            "late": 60 * late_after_minutes,
            "back": -int(limits.back.total_seconds()),
            "ahead": int(limits.ahead.total_seconds()),
        }
        yield from (EntryTimes(*row) for row in conn.execute(_ODD, values))
        after = _complete(conn)
    for each in _times(conn, after):
        if each.is_late(late_after_minutes) or each.is_step(limits):
            yield each


def _kinds_after(conn: Connection, seq: int) -> Counter[str]:
    return Counter(str(kind) for (kind,) in short_reads.tuples(conn, _KINDS, {"after": seq}))


def _complete(conn: Connection) -> int:
    size = int(conn.execute(_LAST).scalar() or 0)
    return size - size % EVERY


def _times(conn: Connection, after: int) -> Iterator[EntryTimes]:
    """How the times of all entries after one stand."""
    before = None
    for seq, _kind, happened, recorded in entry_times(conn, after - 1):
        if seq > after:
            yield times_of(seq, happened, recorded, before)
        before = recorded
