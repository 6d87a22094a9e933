"""Replaying the journal: fresh tables from the truth, and the comparison of live tables with it.

The spool is read, not rebuilt: its scans are committed but not sealed yet. A desk is brought back from the
entries of its station and then from its spooled scans.
"""

import json
from collections.abc import Callable, Iterable
from typing import Any

from sqlalchemy import Connection, Table, insert, select
from sqlalchemy.exc import IntegrityError

from tracelink.errors import ProjectionDiffers, RefusedByRule
from tracelink.ledger.chain import Head, JournalRow, verify_chain
from tracelink.ledger.entry import Entry
from tracelink.ledger.kinds.registry import read_body
from tracelink.ledger.kinds.setup import StationPlaced
from tracelink.station import machine
from tracelink.store import journal, tree
from tracelink.store.project import carry_out
from tracelink.store.tables import SHADOW, spool, station

Progress = Callable[[int], None]
"""Called with the sequence number reached."""


def rebuild(conn: Connection, progress: Progress = lambda _seq: None) -> Head:
    """Replace every projected table by a replay of the journal, and its tree, in the transaction of `conn`.

    Raises:
        BrokenChain: the journal does not verify; nothing is changed.
        ProjectionDiffers: an entry cannot be projected; names it.
    """
    spooled = [dict(row) for row in conn.execute(select(spool)).mappings()]
    conn.execute(spool.delete())
    for table in reversed(SHADOW):
        conn.execute(table.delete())
    head = replay(conn, journal.rows(conn), spooled, progress)
    if spooled:
        conn.execute(insert(spool), spooled)
    tree.rebuild_tree(conn)
    return head


def replay(
    target: Connection,
    rows: Iterable[JournalRow],
    spooled: Iterable[dict[str, Any]],
    progress: Progress = lambda _seq: None,
) -> Head:
    """Verify `rows` and project them into the empty tables of `target`."""
    desks = _Desks()

    def visit(entry: Entry) -> None:
        body = read_body(entry)
        try:
            carry_out(target, body.changes(entry))
        except (IntegrityError, RefusedByRule) as problem:
            reason = problem.orig if isinstance(problem, IntegrityError) else problem
            raise ProjectionDiffers(
                f"entry {entry.seq} ({entry.kind}) cannot be projected: {reason}"
            ) from problem
        desks.entry(entry, body)
        progress(entry.seq)

    head = verify_chain(rows, visit=visit)
    for row in spooled:
        desks.spooled(row)
    desks.keep(target)
    return head


class _Desks:
    """The desks of all stations while a journal is replayed."""

    def __init__(self) -> None:
        self._desks: dict[str, machine.Desk] = {}
        self._numbers: dict[str, int] = {}

    def entry(self, entry: Entry, body: Any) -> None:
        if isinstance(body, StationPlaced):
            self._desks[body.station] = machine.empty_desk(body.area)
        code = entry.stamp.station
        if code is not None and code in self._desks:
            self._desks[code] = machine.evolve(self._desks[code], body)
            self._numbers[code] = entry.stamp.station_seq or self._numbers.get(code, 0)

    def spooled(self, row: dict[str, Any]) -> None:
        code = row["station"]
        self._desks[code] = machine.evolve_spooled(self._desks[code], json.loads(row["fact"]), row["at"])
        self._numbers[code] = max(self._numbers.get(code, 0), row["number"])

    def keep(self, target: Connection) -> None:
        for code, desk in self._desks.items():
            number = self._numbers.get(code, 0)
            if number:
                values = {"last_number": number, "desk": machine.write_desk(desk)}
                target.execute(station.update().where(station.c.code == code).values(values))


def differences(live: Connection, fresh: Connection) -> list[str]:
    """Compare every projected table of two ledgers, row by row, and say where they differ."""
    found: list[str] = []
    for table in SHADOW:
        found += _table_differences(live, fresh, table)
    return found


def _table_differences(live: Connection, fresh: Connection, table: Table) -> list[str]:
    key = [column.name for column in table.primary_key]
    ours, theirs = (_by_key(conn, table, key) for conn in (live, fresh))
    found = [f"{table.name} {_shown(k)}: in the tables but not in the journal" for k in ours.keys() - theirs]
    found += [f"{table.name} {_shown(k)}: in the journal but not in the tables" for k in theirs.keys() - ours]
    for k in ours.keys() & theirs.keys():
        for name, value in ours[k].items():
            if value != theirs[k][name]:
                found.append(
                    f"{table.name} {_shown(k)}: {name} is {value!r}, the journal says {theirs[k][name]!r}"
                )
    return sorted(found)


def _by_key(conn: Connection, table: Table, key: list[str]) -> dict[tuple[Any, ...], dict[str, Any]]:
    rows = conn.execute(select(table)).mappings()
    return {tuple(row[name] for name in key): dict(row) for row in rows}


def _shown(key: tuple[Any, ...]) -> str:
    return " ".join(str(part) for part in key)
