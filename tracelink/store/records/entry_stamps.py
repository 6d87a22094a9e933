"""Who recorded an entry, when, and when it happened: read from the journal for a few entries."""

import json
from collections.abc import Iterable, Mapping

from sqlalchemy import Connection, bindparam, text

from tracelink.facts.entry_stamp import EntryStamp

_CHUNK = 500
"""Entries to one question; SQLite binds at most 32,766 values, and a plan of many is slow to make."""

_ENTRIES = text("SELECT seq, kind, canonical FROM journal WHERE seq IN :seqs ORDER BY seq").bindparams(
    bindparam("seqs", expanding=True)
)
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
            found[row.seq] = _stamp(row.seq, row.kind, json.loads(bytes(row.canonical)), people)
    return found


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
