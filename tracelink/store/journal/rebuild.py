"""Replaying the journal: fresh tables from the truth, and the comparison of live tables with it.

The spool is read, not rebuilt: its scans are committed but not sealed yet. A state is brought back from the
entries of its station and then from its spooled scans.
"""

import json
from collections.abc import Callable, Iterable
from functools import partial
from typing import Any

from sqlalchemy import Connection, insert, select
from sqlalchemy.exc import IntegrityError

from tracelink.errors import ProjectionDiffers, RefusedByRule
from tracelink.ledger.changes import Change, Increase
from tracelink.ledger.entry import Entry
from tracelink.ledger.entry_tally import EntryBlocks, EntryTally
from tracelink.ledger.kinds.registry import read_body
from tracelink.ledger.kinds.setup import StationPlaced
from tracelink.ledger.proof.chain import Head, JournalRow, verify_chain
from tracelink.station import station_states
from tracelink.store.database.server_engine import changed_without_entry
from tracelink.store.database.storage_errors import database_reason
from tracelink.store.database.tables import SHADOW
from tracelink.store.database.tables_stations import SPOOL_IN_ORDER, spool, station
from tracelink.store.journal import compare_tables, journal, subtrees
from tracelink.store.journal.ahead import read_ahead
from tracelink.store.journal.counted_rows import COUNTED, CountedRows
from tracelink.store.journal.direct_changes import DirectChanges
from tracelink.store.journal.projection import carry_out, insert_all

Progress = Callable[[int], None]
"""Called with the sequence number reached."""

_DESKS = select(station.c.code, station.c.area, station.c.last_number, station.c.desk)


def rebuild(conn: Connection, progress: Progress = lambda _seq: None) -> Head:
    """Replace every projected table by a replay of the journal, and its tree, in the transaction of `conn`.

    Raises:
        BrokenChain: the journal does not verify; nothing is changed.
        ProjectionDiffers: an entry cannot be projected; names it.
    """
    spooled = [dict(row) for row in conn.execute(SPOOL_IN_ORDER).mappings()]
    conn.execute(spool.delete())
    for table in reversed(SHADOW):
        conn.execute(table.delete())
    head = replay(conn, journal.rows(conn), spooled, progress)
    if spooled:
        conn.execute(insert(spool), spooled)
    subtrees.rebuild_tree(conn)
    changed_without_entry(conn)
    return head


def replay(
    target: Connection,
    rows: Iterable[JournalRow],
    spooled: Iterable[dict[str, Any]],
    progress: Progress = lambda _seq: None,
) -> Head:
    """Verify `rows` and project them into the empty tables of `target`."""
    replaying = Replaying(target)

    def visit(entry: Entry) -> None:
        replaying.entry(entry)
        progress(entry.seq)

    head = verify_chain(read_ahead(rows), visit=visit)
    replaying.finish(spooled)
    return head


class Replaying:
    """Projects entries one after the other into the empty tables of a connection."""

    def __init__(self, target: Connection, *, going_on: bool = False) -> None:
        """Begin with empty tables, or go on where those of `target` are.

        Args:
            target: a connection inside a write transaction.
            going_on: the tables hold the entries before, and nothing lies in the spool.
        """
        self.target = target
        """The tables that it writes."""
        self._states = _StationStates(target.execute(_DESKS).all() if going_on else ())
        # Whoever goes on grows it as it is grown where entries are written.
        self._tally = None if going_on else EntryTally()
        self._blocks = EntryBlocks()
        is_file = target.dialect.name == "sqlite"
        self._carry_out = DirectChanges(target).carry_out if is_file else partial(_carry_out_one, target)
        self._counted = None if going_on else CountedRows(target, self._carry_out)

    def entry(self, entry: Entry) -> None:
        """Project one entry.

        Raises:
            NotCanonical: its body is not one of its kind.
            ProjectionDiffers: the tables refuse it.
        """
        body = read_body(entry)
        if self._tally is not None:
            stamp = entry.stamp
            self._tally.entry(entry.seq, entry.kind, stamp.event_time, stamp.recorded_at)
            self._blocks.entry(entry.seq, entry.kind, stamp.station, stamp.person)
        try:
            self._project(body.changes(entry))
        except (IntegrityError, RefusedByRule) as problem:
            reason = database_reason(problem) if isinstance(problem, IntegrityError) else problem
            raise ProjectionDiffers(
                f"entry {entry.seq} ({entry.kind}) cannot be projected: {reason}"
            ) from problem
        try:
            self._states.entry(entry, body)
        except Exception as problem:
            # A station's state takes it for granted that a station wrote what it may write; a forged entry need not be such.
            what = str(problem) or "what it goes on from is not there"
            raise ProjectionDiffers(
                f"entry {entry.seq} ({entry.kind}) does not fit what its station had in hand: {what}"
            ) from problem

    def _project(self, changes: Iterable[Change]) -> None:
        """Carry out changes; rows that only count are written at the end."""
        counted = self._counted
        for change in changes:
            if counted is not None and isinstance(change, Increase) and change.table in COUNTED:
                counted.add(change)
            else:
                self._carry_out(change)

    def state(self, code: str) -> station_states.StationState:
        """Return what a station has in hand after the entries so far."""
        return self._states.state(code)

    def finish(self, spooled: Iterable[dict[str, Any]]) -> None:
        """Bring the desks back after the last entry, from the scans that are not sealed yet; write counts and tally."""
        if self._counted is not None:
            self._counted.write()
        if self._tally is not None:
            insert_all(self.target, [*self._tally.rows(), *self._blocks.rows()])
        for row in spooled:
            self._states.spooled(row)
        self._states.keep(self.target)


def _carry_out_one(target: Connection, change: Change) -> None:
    carry_out(target, (change,))


class _StationStates:
    """The desks of all stations while a journal is replayed."""

    def __init__(self, kept: Iterable[Any] = ()) -> None:
        self._states: dict[str, station_states.StationState] = {}
        self._numbers: dict[str, int] = {}
        for row in kept:
            self._numbers[row.code] = row.last_number
            self._states[row.code] = station_states.read_state(row.area, row.desk)

    def entry(self, entry: Entry, body: Any) -> None:
        if isinstance(body, StationPlaced):
            self._states[body.station] = station_states.empty_state(body.area)
        code = entry.stamp.station
        if code is not None and code in self._states:
            self._states[code] = station_states.evolve(self._states[code], body)
            self._numbers[code] = entry.stamp.station_seq or self._numbers.get(code, 0)

    def state(self, code: str) -> station_states.StationState:
        return self._states[code]

    def spooled(self, row: dict[str, Any]) -> None:
        code = row["station"]
        self._states[code] = station_states.evolve_spooled(
            self._states[code], json.loads(row["fact"]), row["at"]
        )
        self._numbers[code] = max(self._numbers.get(code, 0), row["number"])

    def keep(self, target: Connection) -> None:
        for code, state in self._states.items():
            number = self._numbers.get(code, 0)
            if number:
                values = {"last_number": number, "desk": station_states.write_state(state)}
                target.execute(station.update().where(station.c.code == code).values(values))


def differences(live: Connection, fresh: Connection) -> list[str]:
    """Compare every projected table of two ledgers, row by row, and say where they differ."""
    return [told for table in SHADOW for told in compare_tables.differences(live, fresh, table)]
