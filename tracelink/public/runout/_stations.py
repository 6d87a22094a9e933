"""Stations: live ones, recorded scans, what they do now, what they refused, what was recorded late."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

from runout._areas import Area
from runout._arguments import (
    optional_file,
    require_badge,
    require_count,
    require_day,
    require_file,
    require_one_of,
    require_places,
    require_text,
)
from tracelink.clock import local_now
from tracelink.ledger.work_areas import AREAS

if TYPE_CHECKING:
    from tracelink.facts.day_board import Board
    from tracelink.services.badge_proof import Badge
    from tracelink.services.floor import live_station
    from tracelink.services.floor.away.away_line import AwayLine
    from tracelink.services.floor.log_replay import LogTrial, Replayed
    from tracelink.services.floor.scan_keys import StationKeys
    from tracelink.services.floor.station_views import LateEntries, Refusals, StopReasons
    from tracelink.services.upkeep.signing import KeyFile

# Imported when it is called: a live station must not pay for boards and logs.


class FloorStations(Area):
    """The floor; `ledger.stations`."""

    def of_area(self, area: str) -> dict[str, str]:
        """Return code -> name of the stations of a work area.

        Args:
            area: tool, press, lab, line, dock, process or assembly.
        """
        require_one_of("area", area, AREAS)
        from tracelink.services.floor import live_station  # noqa: PLC0415

        return live_station.of_area(self._ledger, area)

    def live(
        self, code: str, *, key: str | Path | None = None
    ) -> AbstractContextManager[live_station.LiveStation]:
        """Be the only program at a station while a `with` block runs, and book its scans one by one.

        Args:
            code: of the station.
            key: the file with its key, if it signs its scans; None for the one beside the ledger.

        Raises:
            UsageError: there is no such station.
            RefusedByRule: it is open in another terminal, or signs its scans and its key cannot be used.
        """
        require_text("code", code)
        from tracelink.services.floor import live_station  # noqa: PLC0415

        return live_station.live(self._ledger, code, optional_file("key", key))

    def line_that_packs_on(
        self, code: str, folder: str | Path, *, key: str | Path | None = None
    ) -> AbstractContextManager[AwayLine]:
        """Be the only program at a packing line, which packs on by a copy of the ledger while that is away.

        Args:
            code: of the line.
            folder: on the line's own disk, for the copy and the scans made by it.
            key: as for `live`.

        Raises:
            UsageError: it is no packing line, there is no such folder, or a log in it cannot be read.
            RefusedByRule: the plant does not allow it (setting away_hours); or as for `live`.
        """
        from tracelink.services.floor.away.away_start import away_line  # noqa: PLC0415

        require_text("code", code)
        return away_line(self._ledger, code, require_file("folder", folder), optional_file("key", key))

    def keys(self) -> StationKeys:
        """Return the keys with which stations sign their scans, withdrawn ones as well."""
        from tracelink.services.floor import scan_keys  # noqa: PLC0415

        with self._ledger.reading() as conn:
            return scan_keys.listed(conn)

    def make_key(self, station: str, *, file: str | Path | None = None) -> KeyFile:
        """Make the key of a station on its machine; it counts once its public half is enrolled.

        Args:
            station: its code.
            file: where the key is to lie; beside the ledger's file unless said.

        Raises:
            UsageError: there is no such station, the file exists, or it must be named.
            StorageFailed: it cannot be written.
        """
        from tracelink.services.floor import scan_keys  # noqa: PLC0415

        require_text("station", station)
        return scan_keys.make(self._ledger, station, optional_file("file", file))

    def enrol_key(self, key: str, by: Badge, second: Badge, reason: str) -> str:
        """Enrol the key of a station, which signs all its scans from then on; returns the station.

        Args:
            key: its public half, named for the station; it replaces the one that stood.
            by: somebody with the role quality.
            second: another such person, who agrees.
            reason: why.

        Raises:
            UsageError: it is no key, or not named for a station.
            RefusedByRule: it was enrolled before, or one of the two may not.
        """
        from tracelink.services.floor import scan_keys  # noqa: PLC0415

        require_text("key", key)
        require_badge(by)
        require_badge(second)
        require_text("reason", reason)
        return scan_keys.enrol(self._ledger, key, by, second, reason)

    def withdraw_key(self, station: str, by: Badge, second: Badge, reason: str) -> str:
        """Withdraw the key of a station, which signs no longer; returns its public half.

        Args:
            station: its code.
            by: somebody with the role quality.
            second: another such person, who agrees.
            reason: why.

        Raises:
            RefusedByRule: no key stands, or one of the two may not.
        """
        from tracelink.services.floor import scan_keys  # noqa: PLC0415

        require_text("station", station)
        require_badge(by)
        require_badge(second)
        require_text("reason", reason)
        return scan_keys.withdraw(self._ledger, station, by, second, reason)

    def replay(
        self, logs: Sequence[str | Path], steps: Callable[[int, int], None] = lambda _more, _all: None
    ) -> Replayed:
        """Book the recorded scans of some logs, in the order of their times; a scan is booked once.

        Args:
            logs: station logs.
            steps: called with how many more scans are done, and of how many.

        Raises:
            UsageError: a log cannot be used.
        """
        from tracelink.services.floor import log_replay  # noqa: PLC0415

        return log_replay.replay(self._ledger, require_places("logs", logs), steps)

    def try_out(
        self, logs: Sequence[str | Path], steps: Callable[[int, int], None] = lambda _more, _all: None
    ) -> LogTrial:
        """Say which recorded scans would be stopped; nothing is booked.

        Args:
            logs: station logs.
            steps: as for `replay`.

        Raises:
            UsageError: a log cannot be used.
        """
        from tracelink.services.floor import log_replay  # noqa: PLC0415

        return log_replay.try_out(self._ledger, require_places("logs", logs), steps)

    def board(self, area: str | None = None, *, day: str | None = None) -> Board:
        """Return what stations do now, the day's counts and stops, holds, and lots waiting for a result.

        Args:
            area: tool, press, lab, line, dock, process or assembly; None for all.
            day: local date, YYYY-MM-DD; None for today.
        """
        from tracelink.services.floor import station_views  # noqa: PLC0415

        if area is not None:
            require_one_of("area", area, AREAS)
        if day is not None:
            require_day("day", day)
        with self._ledger.reading() as conn:
            return station_views.day_board(conn, area, day or local_now()[:10])

    def refusals(
        self, *, finding: str | None = None, station: str | None = None, last: int | None = 50
    ) -> Refusals:
        """Return what stations refused, newest first.

        Args:
            finding: only of this code, such as wrong-title.
            station: only of this station.
            last: how many at most; None for all.

        Raises:
            UsageError: there is no such station.
        """
        from tracelink.services.floor import station_views  # noqa: PLC0415

        if last is not None:
            require_count("last", last)
        with self._ledger.reading() as conn:
            return station_views.refusals(conn, finding, station, last)

    def reasons(
        self, *, station: str | None = None, since: str | None = None, until: str | None = None
    ) -> StopReasons:
        """Return why things were refused and how often, the most frequent reason first.

        Args:
            station: only of this station.
            since: first local day, YYYY-MM-DD.
            until: last local day, YYYY-MM-DD.

        Raises:
            UsageError: there is no such station, or a day is invalid.
        """
        from tracelink.services.floor import station_views  # noqa: PLC0415

        for name, day in (("since", since), ("until", until)):
            if day is not None:
                require_day(name, day)
        with self._ledger.reading() as conn:
            return station_views.reasons(conn, station, since, until)

    def late_entries(self, *, last: int | None = 50) -> LateEntries:
        """Return the newest entries that were recorded long after they happened, at stations and by command.

        Args:
            last: how many at most; None for all.
        """
        from tracelink.services.floor import station_views  # noqa: PLC0415

        if last is not None:
            require_count("last", last)
        with self._ledger.reading() as conn:
            return station_views.late_entries(conn, last)
