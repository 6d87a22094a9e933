"""When pieces of the assembly hall were done at which station, by the journal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, text

from tracelink.ledger.entry import Entry, read_entry
from tracelink.ledger.kinds.assembly.placing_entries import PartsPlaced
from tracelink.ledger.kinds.assembly.unit_entries import PartsJoined, PieceTested, UnitsPacked
from tracelink.ledger.kinds.registry import read_body
from tracelink.store.database.in_lists import text_list
from tracelink.store.journal import journal

WORK = {
    PartsPlaced.kind: "placing",
    PartsJoined.kind: "joining",
    PieceTested.kind: "testing",
    UnitsPacked.kind: "packing",
}
"""What is done by a kind of entry, in the order of the line."""
_OF_KINDS = text("SELECT seq FROM journal WHERE kind IN :kinds ORDER BY seq").bindparams(text_list("kinds"))
_NAMES = text("SELECT code, name FROM station")


@dataclass(frozen=True, slots=True)
class WorkDone:
    """Pieces that were done at a station at one time."""

    station: str
    work: str
    at: str
    """RFC 3339 with offset."""
    pieces: int


def work_done(conn: Connection) -> Iterator[WorkDone]:
    """Yield what was placed, joined, tested and packed, in journal order.

    Args:
        conn: a connection inside a transaction.
    """
    seqs = list(conn.execute(_OF_KINDS, {"kinds": list(WORK)}).scalars())
    for row in journal.rows_at(conn, seqs):
        entry = read_entry(row.canonical)
        if entry.stamp.station is not None:
            yield WorkDone(entry.stamp.station, WORK[entry.kind], entry.stamp.event_time, _pieces(entry))


def _pieces(entry: Entry) -> int:
    body = read_body(entry)
    if isinstance(body, PartsPlaced):
        return body.last - body.first + 1
    return len(body.units) if isinstance(body, UnitsPacked) else 1


def station_names(conn: Connection) -> dict[str, str]:
    """Return what each station is called."""
    return {row.code: row.name for row in conn.execute(_NAMES)}
