"""A copy of the ledger on the line's own disk, made anew now and then while the ledger can be reached.

It is made by another process, so that no scan waits for it, and proven as any copy is before it gets its name. Nothing that is booked
into it is ever kept: it only says what the rules say.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from dataclasses import dataclass, replace
from math import inf
from pathlib import Path

from tracelink.clock import running_seconds
from tracelink.ledger.packs import RawScan
from tracelink.station.common.outcome import Verdict
from tracelink.store.ledger import Ledger, remove_ledger_file

MINUTES = 15
"""Age at which a copy is made anew."""

_RETRY_SECONDS = 60
"""Time after which a copy that could not be made is tried again: not at every scan."""

_MAKE = (
    "import os, sys; os.nice(10); from runout import copy_ledger; copy_ledger(*sys.stdin.read().splitlines())"
)
"""The places come by standard input: others see the arguments of a process, and a URL may hold a password."""


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
        self._begun_at = -inf

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
        age, now = self.age_s, running_seconds()
        if (age is None or age > MINUTES * 60) and now - self._begun_at > _RETRY_SECONDS:
            self._fresh.unlink(missing_ok=True)
            self._begun_at = now
            self._making = self._begun()
        return False

    def _begun(self) -> subprocess.Popen[bytes]:
        making = subprocess.Popen(  # noqa: S603  this program
            [sys.executable, "-c", _MAKE],
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        assert making.stdin is not None
        with making.stdin as told:
            told.write(f"{self._place}\n{self._fresh}\n".encode())
        return making

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
        # One of a program that was killed may lie there still.
        remove_ledger_file(self._duplicate)
        shutil.copyfile(self._file, self._duplicate)
        found = Ledger.open(str(self._duplicate))
        found.secrets_of = self._place
        return found

    def put_away(self, duplicate: Ledger) -> None:
        """Close a duplicate and remove it: nobody is to take what was judged by it for what was booked."""
        duplicate.close()
        remove_ledger_file(self._duplicate)

    @property
    def _duplicate(self) -> Path:
        return self._file.with_suffix(".work")

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
