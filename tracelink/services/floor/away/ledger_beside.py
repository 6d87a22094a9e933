"""A copy of the ledger on the line's own disk, made anew now and then while the ledger can be reached.

It is made by another process, so that no scan waits for it, and proven as any copy is before it gets its name. Nothing that is booked
into it is ever kept: it only says what the rules say. Nor is it gone by unless its bytes are those that were proven: the process
that made it tells their digest, which a seal beside the copy keeps for a program that is started later (`copy_seal.py`).
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from math import inf
from pathlib import Path

from tracelink.clock import running_seconds, utc_now
from tracelink.errors import ProofFails, StorageFailed, UsageError
from tracelink.ledger.packs import RawScan
from tracelink.ledger.proof.note import Note
from tracelink.ledger.times import instant
from tracelink.services.floor.away.copy_seal import CopySeal, digest_of
from tracelink.station.common.outcome import Verdict
from tracelink.store.journal.keys import write_whole
from tracelink.store.ledger import Ledger, remove_ledger_file

MINUTES = 15
"""Age at which a copy is made anew."""

_RETRY_SECONDS = 60
"""Time after which a copy that could not be made is tried again: not at every scan."""

_MAKE = (
    "import os, sys; os.nice(10); from pathlib import Path; from runout import copy_ledger; "
    "from tracelink.services.floor.away.copy_seal import digest_of; places = sys.stdin.read().splitlines(); "
    "copy_ledger(*places); print(digest_of(Path(places[1])))"
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
        self._begun_utc = ""
        self.digest: str | None = None
        """SHA-256 of the copy's file as it was proven; None if there is no copy to go by."""

    def renew(self) -> bool:
        """Begin another copy if this one is old, and take one that is whole, which it says; never waits."""
        if self._making is not None:
            if self._making.poll() is None:
                return False
            assert self._making.stdout is not None
            with self._making.stdout as told:
                digest = told.read().decode().strip()
            taken = self._making.returncode == 0
            if taken:
                # Not beside another copy, not for a moment.
                self.seal_file.unlink(missing_ok=True)
                self._fresh.replace(self._file)
                self._made_at, self.digest = self._begun_at, digest
            self._making = None
            return taken
        age, now = self.age_s, running_seconds()
        if (age is None or age > MINUTES * 60) and now - self._begun_at > _RETRY_SECONDS:
            self._fresh.unlink(missing_ok=True)
            self._begun_at, self._begun_utc = now, utc_now()
            self._making = self._begun()
        return False

    def _begun(self) -> subprocess.Popen[bytes]:
        making = subprocess.Popen(  # noqa: S603  this program
            [sys.executable, "-c", _MAKE],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
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
        """Go by the copy no more, nor let a later program: the ledger went on without it."""
        self._made_at = self.digest = None
        with suppress(OSError):
            self.seal_file.unlink(missing_ok=True)

    def seal(self, sign: Callable[[str], Note | None], station: str, last: int) -> bool:
        """Seal the copy for a program that is started later.

        Args:
            sign: signs a text with the key of the station; returns None if it has none.
            station: its code.
            last: number of its last scan in the copy.

        Returns:
            Whether it is sealed now.
        """
        assert self.digest is not None
        note = sign(CopySeal(station, self.digest, last, self._begun_utc).text())
        if note is None:
            return False
        try:
            write_whole(self.seal_file, note.encoded())
        except StorageFailed:
            return False
        return True

    def take_up(self, sealed: CopySeal) -> None:
        """Go by the copy of an earlier run.

        Raises:
            UsageError: the clock of this machine is before the time at which it was made, so that nobody knows its age.
        """
        age = (instant(utc_now()) - instant(sealed.made_at)).total_seconds()
        if age < 0:
            raise UsageError(f"it was made at {sealed.made_at}, and the clock of this machine is before that")
        self._made_at, self.digest = running_seconds() - age, sealed.digest

    def opened(self) -> Ledger:
        """Open the copy, to look into it."""
        return Ledger.open(str(self._file), read_only=True)

    def worked_on(self, now: Callable[[], str] = utc_now) -> Ledger:
        """Open a duplicate of the copy, to judge by it; the copy stays as it was made.

        Args:
            now: the recording clock.

        Raises:
            ProofFails: it is not what it was when it was proven.
        """
        # One of a program that was killed may lie there still.
        remove_ledger_file(self._duplicate)
        try:
            shutil.copyfile(self._file, self._duplicate)
        except OSError as problem:
            raise ProofFails(
                f"the copy of the ledger beside the line cannot be read: {problem.strerror}"
            ) from None
        # Of the duplicate, which is what is opened.
        if digest_of(self._duplicate) != self.digest:
            remove_ledger_file(self._duplicate)
            raise ProofFails(
                "the copy of the ledger beside the line was changed since it was made: keep it, and tell quality"
            )
        found = Ledger.open(str(self._duplicate), now=now)
        found.secrets_of = self._place
        return found

    def put_away(self, duplicate: Ledger) -> None:
        """Close a duplicate and remove it: nobody is to take what was judged by it for what was booked."""
        duplicate.close()
        remove_ledger_file(self._duplicate)

    @property
    def seal_file(self) -> Path:
        """Where the seal of the copy lies."""
        return self._file.with_suffix(".seal")

    @property
    def _duplicate(self) -> Path:
        return self._file.with_suffix(".work")

    def close(self) -> None:
        """Stop making one."""
        if self._making is not None:
            self._making.kill()
            self._making.wait()
            if self._making.stdout is not None:
                self._making.stdout.close()
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
