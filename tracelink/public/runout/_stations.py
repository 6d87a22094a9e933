"""Stations: live ones, recorded scans, what they do now, what they refused, what was recorded late."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

from runout._areas import Area
from runout._arguments import require_count, require_day, require_one_of, require_places, require_text
from tracelink.clock import local_now
from tracelink.ledger.plant.plantfile import AREAS
from tracelink.services.floor import live_station

if TYPE_CHECKING:
    from tracelink.facts.day_board import Board
    from tracelink.services.floor.log_replay import LogTrial, Replayed
    from tracelink.services.floor.station_views import LateEntries, Refusals

# Imported when it is called: a live station must not pay for boards and logs.


class FloorStations(Area):
    """The floor; `ledger.stations`."""

    def of_area(self, area: str) -> dict[str, str]:
        """Return code -> name of the stations of a work area.

        Args:
            area: tool, press, lab, line or dock.
        """
        require_one_of("area", area, AREAS)
        return live_station.of_area(self._ledger, area)

    def live(self, code: str) -> AbstractContextManager[live_station.LiveStation]:
        """Be the only program at a station while a `with` block runs, and book its scans one by one.

        Args:
            code: of the station.

        Raises:
            UsageError: there is no such station.
            RefusedByRule: it is open in another terminal.
        """
        require_text("code", code)
        return live_station.live(self._ledger, code)

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
            area: tool, press, lab, line or dock; None for all.
            day: local date, YYYY-MM-DD; None for today.
        """
        from tracelink.services.floor import station_views  # noqa: PLC0415

        if area is not None:
            require_one_of("area", area, AREAS)
        if day is not None:
            require_day("day", day)
        with self._ledger.reading() as conn:
            return station_views.day_board(conn, area, day or local_now()[:10])

    def refusals(self, *, finding: str | None = None, station: str | None = None, last: int = 50) -> Refusals:
        """Return what stations refused, newest first.

        Args:
            finding: only of this code, such as wrong-title.
            station: only of this station.
            last: how many at most.

        Raises:
            UsageError: there is no such station.
        """
        from tracelink.services.floor import station_views  # noqa: PLC0415

        require_count("last", last)
        with self._ledger.reading() as conn:
            return station_views.refusals(conn, finding, station, last)

    def late_entries(self, *, last: int = 50) -> LateEntries:
        """Return the newest entries that were recorded long after they happened, at stations and by command.

        Args:
            last: how many at most.
        """
        from tracelink.services.floor import station_views  # noqa: PLC0415

        require_count("last", last)
        with self._ledger.reading() as conn:
            return station_views.late_entries(conn, last)
