"""Who recorded an entry, when, and when it happened: read from the journal for a few entries."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, text

from tracelink.ledger.lateness import Lateness, lateness
from tracelink.ledger.times import lag_s

_CHUNK = 500
"""Entries to one question; SQLite binds at most 32,766 values, and a plan of many is slow to make."""

_ENTRIES = text("SELECT seq, kind, canonical FROM journal WHERE seq IN :seqs ORDER BY seq").bindparams(
    bindparam("seqs", expanding=True)
)
_NAMES = text("SELECT code, name FROM person")


@dataclass(frozen=True, slots=True)
class EntryStamp:
    """The outside of an entry."""

    seq: int
    """The entry."""
    kind: str
    """What it records."""
    happened: str
    """Event time, local with offset."""
    recorded: str
    """Recording time, UTC."""
    by: str
    """Name of the person signed on; empty if there was none."""
    station: str | None
    """The station; None for acts by command."""
    reason: str
    """As the person wrote it; empty if none was asked for."""
    corrects: int | None
    """The entry that it corrects."""

    @property
    def late_s(self) -> int:
        """Seconds from the event to its recording; negative if it was recorded before it happened."""
        return int(lag_s(self.happened, self.recorded))

    def lateness(self, late_after_minutes: int) -> Lateness:
        """Judge its two times by the setting `late_entry_minutes`."""
        return lateness(self.happened, self.recorded, late_after_minutes)


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
