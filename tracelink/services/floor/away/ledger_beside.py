"""A copy of the ledger on the line's own disk, made anew now and then while the ledger can be reached.

It is made by another process, so that no scan waits for it, and proven as any copy is before it gets its name. Nothing that is booked
into it is ever kept: it only says what the rules say.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path

from tracelink.clock import running_seconds
from tracelink.ledger.packs import RawScan
from tracelink.station.common.outcome import Verdict
from tracelink.store.ledger import Ledger

MINUTES = 15
"""Age at which a copy is made anew."""

_MAKE = "import os, sys; os.nice(10); from runout import copy_ledger; copy_ledger(sys.argv[1], sys.argv[2])"


@dataclass(frozen=True, slots=True)
class CopyAnswer:
    """What a copy says to a scan."""

    verdict: Verdict
    raw: str
    """The line as it may be kept."""


class LedgerBeside:
    """Makes the copy, and judges by it."""

    def __init__(self, place: str, file: Path) -> None:
        self._place = place
        self._file = file
        self._making: subprocess.Popen[bytes] | None = None
        self._made_at: float | None = None
        self._begun_at = 0.0

    def renew(self) -> bool:
        """Begin another copy if this one is old, and take one that is whole, which it says; never waits."""
        if self._making is not None:
            if self._making.poll() is None:
                return False
            taken = self._making.returncode == 0
            if taken:
                self._fresh.replace(self._file)
                self._made_at = self._begun_at
            self._making = None
            return taken
        if self._made_at is None or running_seconds() - self._made_at > MINUTES * 60:
            self._fresh.unlink(missing_ok=True)
            self._begun_at = running_seconds()
            self._making = subprocess.Popen(  # noqa: S603  this program, with the places it was given
                [sys.executable, "-c", _MAKE, self._place, str(self._fresh)],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
        return False

    @property
    def _fresh(self) -> Path:
        return self._file.with_suffix(".new")

    @property
    def age_s(self) -> float | None:
        """Seconds since it was made; None if there is none of this run."""
        return None if self._made_at is None else running_seconds() - self._made_at

    def forget(self) -> None:
        """Take the copy for too old: the ledger went on without it."""
        self._made_at = None

    def opened(self) -> Ledger:
        """Open the copy, to look into it."""
        return Ledger.open(str(self._file), read_only=True)

    def worked_on(self) -> Ledger:
        """Open a duplicate of the copy, to judge by it; the copy stays as it was made."""
        duplicate = self._file.with_suffix(".work")
        for ending in ("", "-wal", "-shm"):
            Path(f"{duplicate}{ending}").unlink(missing_ok=True)
        shutil.copyfile(self._file, duplicate)
        found = Ledger.open(str(duplicate))
        found.secrets_of = self._place
        return found

    def close(self) -> None:
        """Stop making one."""
        if self._making is not None:
            self._making.kill()
            self._making.wait()
            self._making = None


def judged(copy: Ledger, station: str, raw: str, at: str) -> CopyAnswer:
    """Return what a copy says to a scan, which it takes as booked.

    Args:
        copy: open for writing.
        station: its code.
        raw: the line as it came.
        at: local time.
    """
    with copy.writing() as booking:
        number = booking.last_number(station) + 1
        verdict, kept = booking.ask(station, RawScan(number, at, raw))
        return CopyAnswer(replace(verdict, panel=booking.panel(station)), kept)
