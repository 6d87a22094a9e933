"""Where a line stands beyond the copy of its ledger: the scans that were booked in the ledger since that was made.

A file of JSON lines on the line's own disk, so that a program that was ended and started again while the ledger is away can bring the
copy to where the line stood. First line: {"format": "runout-away-stand", "version": 1, "station": "W...", "copy": SHA-256 of the copy}.
For each scan {"begins": number} is synced before it is booked, and its number, time, line as it is kept and the word that was
shown stand there after it, or {"refused": number} where it is known that it was not booked. A scan that was begun and did not end may be
booked or not, and nobody can say it while the ledger is away.
"""

from __future__ import annotations

import json
import os
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tracelink.errors import StorageFailed, UsageError
from tracelink.ledger.pins import PIN_MARK
from tracelink.plainfile import plain_text
from tracelink.store.journal.keys import write_whole

_FORM = "runout-away-stand"


@dataclass(frozen=True, slots=True)
class Made:
    """A scan that was booked in the ledger since its last copy."""

    number: int
    at: str
    """Local time with its offset."""
    raw: str
    """The line as it came."""
    word: str
    """The big word that was shown for it."""
    kept: str
    """The line as the ledger keeps it: no PIN is written."""


class LineStand:
    """The scans of one line since the copy, in their order."""

    def __init__(self, file: Path, station: str) -> None:
        """Begin with none; what lies in the file is of an earlier run, see `read`."""
        self.made: list[Made] = []
        self.last = 0
        """Number of the last scan that the copy with these scans has."""
        self._file = file
        self._station = station
        self._is_kept = False

    def copied(self, digest: str, last: int, *, keeps: bool) -> None:
        """Take notice of a new copy.

        Args:
            digest: SHA-256 of its file.
            last: number of the station's last scan in it.
            keeps: whether a program that is started later may go by the copy, and so needs the scans since.
        """
        self.made = [each for each in self.made if each.number > last]
        self.last = self.made[-1].number if self.made else last
        self._is_kept = keeps
        if not keeps:
            return
        lines = [self._head(digest), *map(_record, self.made)]
        try:
            write_whole(self._file, "".join(map(_line, lines)).encode())
        except StorageFailed:
            self._lost()

    def begin(self, number: int) -> None:
        """Remember that a scan is being booked under a number."""
        self._write({"begins": number}, sync=True)

    def refused(self, number: int) -> None:
        """Remember that the scan that was begun was not booked: the ledger is away."""
        self._write({"refused": number}, sync=False)

    def done(self, made: Made) -> None:
        """Remember a scan that was booked."""
        self.made.append(made)
        self.last = made.number
        # Synced with the next that begins: cut off before, this one is in doubt, and the line waits.
        self._write(_record(made), sync=False)

    def forget(self) -> None:
        """Forget them all: the copy is not gone by any more."""
        self.made = []
        self._lost()

    def read(self, digest: str, last: int) -> None:
        """Take up what an earlier run of the line made since a copy.

        Args:
            digest: SHA-256 of the copy's file.
            last: number of the station's last scan in it.

        Raises:
            UsageError: it does not say where the line stood.
        """
        try:
            records = [json.loads(line) for line in plain_text(self._file).split("\n")[:-1]]
        except (OSError, ValueError, RecursionError):
            raise UsageError(f"{self._file.name} cannot be read") from None
        if not records or records[0] != self._head(digest):
            raise UsageError(f"{self._file.name} is of another copy")
        self.made, self.last, begun = [], last, last
        for record in records[1:]:
            match record:
                case {"begins": int(begun)} if begun == self.last + 1:
                    pass
                case {"refused": int(number)} if number == begun:
                    begun = self.last
                case {"number": int(number), "at": str(at), "raw": str(raw), "word": str(word)}:
                    self._take(Made(number, at, raw, word, raw))
                    begun = max(begun, number)
                case _:
                    raise UsageError(f"{self._file.name} says what no line writes")
        if begun > self.last:
            raise UsageError(f"it is not known whether scan {begun}, the last one, was booked")
        self._is_kept = True

    def _take(self, made: Made) -> None:
        if made.number != self.last + 1:
            raise UsageError(f"{self._file.name} lacks scan {self.last + 1}")
        if made.raw == PIN_MARK:
            raise UsageError("a PIN was keyed since the copy was made, and is kept nowhere")
        self.made.append(made)
        self.last = made.number

    def _head(self, digest: str) -> dict[str, Any]:
        return {"format": _FORM, "version": 1, "station": self._station, "copy": digest}

    def _write(self, record: dict[str, Any], *, sync: bool) -> None:
        if not self._is_kept:
            return
        try:
            with self._file.open("a", encoding="utf-8") as opened:
                opened.write(_line(record))
                opened.flush()
                if sync:
                    os.fsync(opened.fileno())
        except OSError:
            self._lost()

    def _lost(self) -> None:
        """Let no later program go by a file that lacks a scan; the line itself goes on, as its ledger is there."""
        self._is_kept = False
        with suppress(OSError):
            self._file.unlink(missing_ok=True)


def _record(made: Made) -> dict[str, Any]:
    return {"number": made.number, "at": made.at, "raw": made.kept, "word": made.word}


def _line(record: dict[str, Any]) -> str:
    return json.dumps(record, separators=(",", ":")) + "\n"
