"""The slowest station of the assembly line, by the times between its entries."""

from __future__ import annotations

from itertools import pairwise

from sqlalchemy import Connection

from tracelink.facts.hall.line_pace import LinePace, StationPace
from tracelink.ledger.times import instant
from tracelink.store.assembly.work_times import WORK, WorkDone, station_names, work_done
from tracelink.store.records.sql_records import SqlRecords

BREAK_MINUTES = 30
"""A longer time between two entries of a station is a break, unless said; common practice."""


def line_pace(
    conn: Connection, since: str | None = None, until: str | None = None, break_minutes: int = BREAK_MINUTES
) -> LinePace:
    """Return how fast each station works.

    Args:
        conn: a connection inside a transaction.
        since: only what was done at this time or later, RFC 3339 with offset.
        until: only what was done at this time or earlier.
        break_minutes: a longer time between two entries of a station counts as a break.
    """
    begin = None if since is None else instant(since)
    end = None if until is None else instant(until)
    done: dict[tuple[str, str], list[WorkDone]] = {}
    for one in work_done(conn):
        at = instant(one.at)
        if (begin is None or at >= begin) and (end is None or at <= end):
            done.setdefault((one.work, one.station), []).append(one)
    names = station_names(conn)
    order = list(WORK.values())
    paces = [
        _pace(station, names.get(station, station), work, acts, break_minutes)
        for (work, station), acts in sorted(done.items(), key=lambda one: (order.index(one[0][0]), one[0][1]))
    ]
    return LinePace(tuple(paces), break_minutes, SqlRecords(conn).head())


def _pace(station: str, name: str, work: str, acts: list[WorkDone], break_minutes: int) -> StationPace:
    ordered = sorted(acts, key=lambda one: instant(one.at))
    timed = busy = 0
    for before, after in pairwise(ordered):
        gap = (instant(after.at) - instant(before.at)).total_seconds()
        if gap <= 60 * break_minutes:
            timed += after.pieces
            busy += int(gap)
    return StationPace(station, name, work, sum(one.pieces for one in ordered), timed, busy)
