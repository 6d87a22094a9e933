"""What stations do now, what they refused, and what was recorded late."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date, timedelta

from sqlalchemy import Connection

from tracelink.facts.day_board import Board
from tracelink.facts.entry_stamp import TimedEntry
from tracelink.facts.finding_count import FindingCount
from tracelink.facts.refused_scan import RefusedScan
from tracelink.report.format.render import Cell
from tracelink.store.records import late_entries as lateness
from tracelink.store.records.refused_scans import (
    count_refused,
    kinds_refused,
    refused_by_reason,
    refused_scans,
)
from tracelink.store.stations.station_list import require_station


@dataclass(frozen=True, slots=True)
class Refusals:
    """What stations refused, newest first."""

    scans: tuple[RefusedScan, ...]
    older: int
    """Number of older ones that are left out, 0 or more."""
    kinds: tuple[str, ...]
    """Every code of a finding that is recorded in this ledger."""

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout findings --format json`."""
        return [asdict(one) for one in self.scans]


@dataclass(frozen=True, slots=True)
class StopReasons:
    """Why things were refused and how often, the most frequent reason first."""

    reasons: tuple[FindingCount, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same as plain data."""
        return [asdict(one) for one in self.reasons]


@dataclass(frozen=True, slots=True)
class LateEntries:
    """Entries that were recorded long after they happened, or out of turn by the clock, newest first."""

    entries: tuple[TimedEntry, ...]
    limit_minutes: int
    """After how many minutes an entry counts as late (setting late_entry_minutes)."""
    older: int
    """Number of older ones that are left out, 0 or more."""

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout findings --late --format json`."""
        return [
            {
                "entry": one.stamp.seq,
                "kind": one.stamp.kind,
                "happened": one.stamp.happened,
                "recorded": one.stamp.recorded,
                "minutes": one.stamp.late_s // 60,
                "by": one.stamp.by,
                "clock": one.station_clock if one.step is None else one.step.short,
            }
            for one in self.entries
        ]


def day_board(conn: Connection, area: str | None, day: str) -> Board:
    """Return the board of a kind of station, or of all."""
    from tracelink.store.office import board as boards  # noqa: PLC0415  asks every rule of the stations; findings do not

    return boards.board(conn, area, day)


def refusals(conn: Connection, finding: str | None, station: str | None, last: int | None) -> Refusals:
    """Return what stations refused.

    Args:
        conn: a connection inside a transaction.
        finding: only of this code; None for all.
        station: only of this station; None for all.
        last: how many at most; None for all.

    Raises:
        UsageError: there is no such station.
    """
    if station is not None:
        require_station(conn, station)
    found = refused_scans(conn, finding, station, last)
    older = count_refused(conn, finding, station) - len(found)
    return Refusals(tuple(found), older, tuple(kinds_refused(conn)))


def reasons(conn: Connection, station: str | None, since: str | None, until: str | None) -> StopReasons:
    """Return how often each reason to refuse occurred.

    Args:
        conn: a connection inside a transaction.
        station: only of this station; None for all.
        since: first local day; None for the first of all.
        until: last local day; None for the last of all.

    Raises:
        UsageError: there is no such station.
    """
    if station is not None:
        require_station(conn, station)
    # Times are compared as text: all of a day comes before the day after.
    after = None if until is None else (date.fromisoformat(until) + timedelta(days=1)).isoformat()
    return StopReasons(tuple(refused_by_reason(conn, station, since, after)))


def late_entries(conn: Connection, last: int | None) -> LateEntries:
    """Return the newest entries that were recorded late.

    Args:
        conn: a connection inside a transaction.
        last: how many at most; None for all.
    """
    found, older = lateness.late_entries(conn, last)
    return LateEntries(tuple(found), lateness.late_minutes(conn), older)
