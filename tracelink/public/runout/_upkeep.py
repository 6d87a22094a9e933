"""Backups, and tables made anew."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from runout._areas import Area
from runout._arguments import require_a, require_count, require_path
from tracelink.clock import utc_now
from tracelink.facts.upkeep.backups_kept import BackupsKept
from tracelink.facts.upkeep.ledger_health import HealthLimits, LedgerHealth
from tracelink.services.upkeep import ledger_files
from tracelink.services.upkeep.ledger_files import LedgerCopy


class Upkeep(Area):
    """What an administrator does; `ledger.upkeep`."""

    def back_up(self, target: str | Path, progress: Callable[[int], None] = lambda _seq: None) -> LedgerCopy:
        """Write a verified copy while stations run.

        Args:
            target: a file that does not exist yet; or a folder, in which the copy is named by ledger and time.
            progress: called with each sequence number verified in the copy.

        Raises:
            UsageError: the file exists, or the ledger is on a database server.
            StorageFailed: there is no room.
            JournalError: the ledger does not verify; no copy is left.
        """
        return ledger_files.back_up(self._ledger, require_path("target", target), progress)

    def thin_out(self, made: LedgerCopy, keep: int) -> BackupsKept:
        """Remove the oldest backups in the folder of a new one, as far as the new one holds them whole.

        Args:
            made: the new backup; it is never removed.
            keep: how many to keep, 1 or more, the new one counted.
        """
        require_a("made", made, LedgerCopy)
        require_count("keep", keep)
        return ledger_files.thin_out_beside(self._ledger, made, keep)

    def health(self, limits: HealthLimits = HealthLimits()) -> LedgerHealth:  # noqa: B008  frozen
        """Measure the ledger for a monitor, and say what is past its limit.

        Args:
            limits: from when on somebody is to look.
        """
        from tracelink.services.upkeep import measuring  # noqa: PLC0415  only a monitor asks

        require_a("limits", limits, HealthLimits)
        return measuring.health(self._ledger, limits, utc_now())

    def rebuild(self, progress: Callable[[int], None] = lambda _seq: None) -> tuple[int, str]:
        """Make every table anew from the journal, in one transaction; returns the head.

        Args:
            progress: called with each sequence number reached.

        Raises:
            JournalError: the journal does not verify; nothing is changed.
        """
        return ledger_files.rebuild_tables(self._ledger, progress)
