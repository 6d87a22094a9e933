"""The scans that a line made while its ledger was away: a file of JSON lines on the line's own disk.

First line: {"format": "runout-away-log", "version": 1, "station": "W..."}. Then one line for each scan, synced before its verdict is
shown: {"at": local time, "raw": the line as it is kept, "word": what was shown}. While they are booked, {"next": number} stands before
each: the number that the next of them gets in the ledger. When all are booked the file is put aside under the time of that.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tracelink.errors import StorageFailed, UsageError
from tracelink.plainfile import plain_text

FORMAT = "runout-away-log"
VERSION = 1


@dataclass(frozen=True, slots=True)
class AwayScan:
    """A scan made while the ledger was away."""

    at: str
    """Local time with its offset."""
    raw: str
    """The line as it is kept."""
    word: str
    """The big word that was shown for it."""


class AwayLog:
    """The log of a station; what is in it is on the disk."""

    def __init__(self, file: Path, station: str) -> None:
        """Read what was left there; a last line that is not whole was never answered, and does not count.

        Raises:
            UsageError: the file is not a log of this station.
        """
        self.file = file
        self.scans: list[AwayScan] = []
        self.booked = 0
        """How many of them are known to be booked."""
        self.number: int | None = None
        """Number that the next of them gets, if its booking was begun; None if no booking was."""
        self._station = station
        if file.exists():
            self._read()

    @property
    def waiting(self) -> list[AwayScan]:
        """Those that are not known to be booked, in their order."""
        return self.scans[self.booked :]

    def add(self, scan: AwayScan) -> None:
        """Keep a scan.

        Raises:
            StorageFailed: it is not kept.
        """
        if not self.scans:
            self._write({"format": FORMAT, "version": VERSION, "station": self._station})
        self._write({"at": scan.at, "raw": scan.raw, "word": scan.word})
        self.scans.append(scan)

    def begin(self, number: int) -> None:
        """Remember that the first of those waiting is booked now, under this number."""
        self._write({"next": number})
        self.number = number

    def was_booked(self) -> None:
        """Remember that it was; on the disk that stands with the next, or with the end."""
        self.booked += 1
        self.number = None

    def put_aside(self, at: str) -> Path:
        """Give the file another name now that all of it is booked, and begin anew."""
        kept = self.file.with_name(f"{self.file.stem}-booked-{at.replace(':', '')}{self.file.suffix}")
        self.file.replace(kept)
        self.scans, self.booked, self.number = [], 0, None
        return kept

    def _write(self, record: dict[str, Any]) -> None:
        try:
            with self.file.open("a", encoding="utf-8") as opened:
                opened.write(json.dumps(record, separators=(",", ":")) + "\n")
                opened.flush()
                os.fsync(opened.fileno())
        except OSError as problem:
            raise StorageFailed(f"{self.file} cannot be written: {problem.strerror}") from None

    def _read(self) -> None:
        try:
            lines = plain_text(self.file).split("\n")
        except (OSError, UnicodeDecodeError) as problem:
            raise UsageError(f"{self.file} cannot be read: {problem}") from None
        records = [_record(line) for line in lines[:-1]]
        if records and records[0] != {"format": FORMAT, "version": VERSION, "station": self._station}:
            raise UsageError(
                f"{self.file} is not a log of station {self._station}: put it aside, and tell quality if there are scans in it"
            )
        begun = 0
        for place, record in enumerate(records[1:], 2):
            match record:
                case {"at": str(at), "raw": str(raw), "word": str(word)}:
                    self.scans.append(AwayScan(at, raw, word))
                case {"next": int(number)}:
                    begun, self.number = begun + 1, number
                case _:
                    raise UsageError(
                        f"{self.file} line {place} is no scan: tell quality, the scans behind it are not booked"
                    )
        self.booked = max(0, begun - 1)


def _record(line: str) -> Any:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        return None
