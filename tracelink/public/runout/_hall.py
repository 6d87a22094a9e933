"""The assembly hall: faults that tests found, and how fast its stations work."""

from __future__ import annotations

from runout._areas import Area
from runout._arguments import require_a, require_count, require_text
from tracelink.errors import UsageError
from tracelink.facts.catalogue.part_record import PartRecord
from tracelink.facts.hall.fault_log import FaultBy, FaultLog, FaultsAsked
from tracelink.facts.hall.line_pace import LinePace
from tracelink.ledger.times import require_local_time
from tracelink.services.desks import catalogue
from tracelink.services.hall.fault_counts import fault_log
from tracelink.services.hall.pace import BREAK_MINUTES, line_pace


class Hall(Area):
    """The assembly hall; `ledger.hall`."""

    def faults(self, by: FaultBy = FaultBy.POSITION, asked: FaultsAsked | None = None) -> FaultLog:
        """Return the log of faults, what is most frequent in it, and where a fault of one position rose.

        Args:
            by: what faults are counted by.
            asked: which tests are looked at; None for all.

        Raises:
            UnknownCode, IdentifierError: the code of the station is unknown or invalid.
            InvalidFormat: a time is no RFC 3339 time with offset.
            UsageError: there is no such part.
        """
        require_a("by", by, FaultBy)
        which = FaultsAsked() if asked is None else asked
        require_a("asked", which, FaultsAsked)
        _require_period(which.since, which.until)
        with self._ledger.reading() as conn:
            return fault_log(conn, by, which)

    def pace(
        self, since: str | None = None, until: str | None = None, break_minutes: int = BREAK_MINUTES
    ) -> LinePace:
        """Return how fast each station of the line works, and which is the slowest.

        Args:
            since: only what was done at this time or later, RFC 3339 with offset.
            until: only what was done at this time or earlier.
            break_minutes: a longer time between two entries of a station counts as a break.

        Raises:
            InvalidFormat: a time is no RFC 3339 time with offset.
            UsageError: the break is less than a minute.
        """
        require_count("break_minutes", break_minutes)
        if break_minutes < 1:
            raise UsageError(f"break_minutes is {break_minutes}: expected 1 or more")
        _require_period(since, until)
        with self._ledger.reading() as conn:
            return line_pace(conn, since, until, break_minutes)

    def part(self, number: str) -> PartRecord:
        """Return a part with its lots, reels, build orders and the bills that have it.

        Args:
            number: the part number; or the code of a part lot, reel or build order of it.

        Raises:
            UnknownCode: there is no such thing.
        """
        require_text("number", number)
        with self._ledger.reading() as conn:
            return catalogue.part(conn, number)


def _require_period(*times: str | None) -> None:
    for each in times:
        if each is not None:
            require_text("time", each)
            require_local_time(each)
