"""Who recorded an entry, when, and when it happened: read from the journal for a few entries; of all, only when."""

from collections.abc import Iterable, Iterator, Mapping

from sqlalchemy import Connection, bindparam, text

from tracelink.errors import NotCanonical
from tracelink.facts.entry_stamp import EntryStamp
from tracelink.store.compact.stored_rows import said
from tracelink.store.statements import short_reads

_CHUNK = 500
"""Entries to one question; SQLite binds at most 32,766 values, and a plan of many is slow to make."""

_AT_A_TIME = 5000

_ENTRIES = text("SELECT seq, kind, stored FROM journal WHERE seq IN :seqs ORDER BY seq").bindparams(
    bindparam("seqs", expanding=True)
)
_AFTER = text("SELECT seq, kind, stored FROM journal WHERE seq > :after ORDER BY seq LIMIT :chunk")
_NAMES = text("SELECT code, name FROM person")


def names(conn: Connection) -> Mapping[str, str]:
    """Return the name of every badge."""
    return {row.code: row.name for row in conn.execute(_NAMES)}


def entry_stamps(conn: Connection, seqs: Iterable[int], people: Mapping[str, str]) -> dict[int, EntryStamp]:
    """Return the outside of some entries.

    Args:
        conn: a connection.
        seqs: journal sequences; those that are not in the journal are left out.
        people: names by badge, from `names`.
    """
    wanted = sorted(set(seqs))
    found: dict[int, EntryStamp] = {}
    for start in range(0, len(wanted), _CHUNK):
        for row in conn.execute(_ENTRIES, {"seqs": wanted[start : start + _CHUNK]}):
            found[row.seq] = _stamp(row.seq, row.kind, said(row.stored), people)
    return found


def entry_times(conn: Connection, after: int = 0) -> Iterator[tuple[int, str, str, str]]:
    """Yield number, kind, event time and recording time of every entry, in order, from the one after `after` on.

    Nothing else of an entry is looked at: all of it takes four times as long.

    Raises:
        NotCanonical: an entry cannot be read.
    """
    while chunk := short_reads.tuples(conn, _AFTER, {"after": after, "chunk": _AT_A_TIME}):
        for seq, kind, stored in chunk:
            try:
                entry = said(stored)
                happened, recorded = str(entry["event_time"]), str(entry["recorded_at"])
            except (NotCanonical, KeyError):
                raise NotCanonical(f"entry {seq} cannot be read: see `runout audit verify`") from None
            yield seq, kind, happened, recorded
        after = chunk[-1][0]


def _stamp(seq: int, kind: str, entry: Mapping[str, object], people: Mapping[str, str]) -> EntryStamp:
    person = entry["person"]
    corrects = entry["corrects"]
    return EntryStamp(
        seq,
        kind,
        str(entry["event_time"]),
        str(entry["recorded_at"]),
        "" if person is None else people.get(str(person), str(person)),
        None if entry["station"] is None else str(entry["station"]),
        str(entry["reason"] or ""),
        corrects if isinstance(corrects, int) else None,
    )
