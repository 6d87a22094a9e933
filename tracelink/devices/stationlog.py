"""A station's recorded scans: a file of JSON lines.

First line: {"format": "runout-station-log", "version": 1, "station": "W..."}
Then one line per scan: {"n": 1, "at": "2031-03-03T08:00:00+01:00", "raw": "]C1..."}
Last line: {"end": 1234}, the number of the last scan; a log without it is cut.

Numbers count 1, 2, 3, ... over all logs of a station; times never run backwards.
"""

import heapq
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from tracelink.errors import IdentifierError, UsageError
from tracelink.ledger.packs import RawScan
from tracelink.ledger.times import instant, require_local_time
from tracelink.plainfile import plain_bytes

FORMAT = "runout-station-log"
VERSION = 1

_MOST_BYTES = 1 << 30
"""Ten million scans."""


@dataclass(frozen=True, slots=True)
class StationLog:
    """A log, read and checked."""

    file: Path
    station: str
    scans: tuple[RawScan, ...]
    cut: str
    """Why the log is not whole, empty if it is."""

    @property
    def last(self) -> int:
        """Number of its last scan, 0 if it has none."""
        return self.scans[-1].number if self.scans else 0


def read_log(file: Path) -> StationLog:
    """Read a whole log.

    A log whose end is missing is read as far as it is whole; a fault in the middle is an error, so that
    nothing is booked out of a damaged file.

    Raises:
        UsageError: names the file, the line, what was expected and what was found.
    """
    lines = _lines(file)
    if not lines:
        raise UsageError(f"{file} is empty: expected a station log")
    station = _header(file, lines[0])
    scans: list[RawScan] = []
    for place, line in enumerate(lines[1:], 2):
        where = f"{file} line {place}"
        record = _parsed(line)
        if record is None and place == len(lines):
            return StationLog(file, station, tuple(scans), f"line {place} is not whole")
        if record is None:
            raise UsageError(f"{where}: expected a JSON object, found {line[:60]!r}")
        if set(record) == {"end"}:
            _require_end(where, record["end"], scans, last_line=place == len(lines))
            return StationLog(file, station, tuple(scans), "")
        scans.append(_scan(where, record, scans))
    return StationLog(file, station, tuple(scans), "its end line is missing")


def merged(logs: Iterable[StationLog]) -> Iterator[tuple[str, RawScan]]:
    """Yield (station, scan) of several logs in the order of time, then of station code."""
    logs = list(logs)
    if len(logs) == 1:
        return ((logs[0].station, scan) for scan in logs[0].scans)
    return (
        (station, scan)
        for _at, station, _number, scan in heapq.merge(
            *(_keyed(log) for log in logs), key=lambda item: item[:3]
        )
    )


def _keyed(log: StationLog) -> Iterator[tuple[datetime, str, int, RawScan]]:
    for scan in log.scans:
        yield instant(scan.at), log.station, scan.number, scan


def _lines(file: Path) -> list[str]:
    try:
        # Not splitlines(): it would also cut at separators that a raw scan may hold.
        lines = [line.rstrip("\r") for line in plain_bytes(file, _MOST_BYTES).decode("utf-8").split("\n")]
    except UnicodeDecodeError as problem:
        raise UsageError(f"{file} is not UTF-8 text: byte {problem.start} cannot be read") from None
    except OSError as problem:
        raise UsageError(f"{file} cannot be read: {problem.strerror}") from None
    return lines[:-1] if lines[-1] == "" else lines


def _parsed(line: str) -> dict[str, Any] | None:
    try:
        found = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _header(file: Path, line: str) -> str:
    header = _parsed(line) or {}
    if header.get("format") != FORMAT:
        raise UsageError(f"{file} is not a station log: its first line does not say {FORMAT!r}")
    version = header.get("version")
    if version != VERSION:
        raise UsageError(
            f"{file} is a station log of version {version!r}; this program reads version {VERSION}"
        )
    station = header.get("station")
    if not isinstance(station, str):
        raise UsageError(f"{file}: the first line names no station")
    return station


def _scan(where: str, record: dict[str, Any], before: list[RawScan]) -> RawScan:
    if set(record) != {"n", "at", "raw"}:
        raise UsageError(f"{where}: fields {sorted(record)}: expected at, n, raw")
    number, at, raw = record["n"], record["at"], record["raw"]
    if not (type(number) is int and isinstance(at, str) and isinstance(raw, str)):
        raise UsageError(f"{where}: n is to be a whole number, at and raw text")
    if not raw.isascii() and any("\ud800" <= ch <= "\udfff" for ch in raw):
        raise UsageError(f"{where}: raw holds half a surrogate pair, which is not a character")
    try:
        require_local_time(at)
    except IdentifierError as problem:
        raise UsageError(f"{where}: {problem}") from None
    if number < 1 or (before and number != before[-1].number + 1):
        expected = before[-1].number + 1 if before else 1
        raise UsageError(f"{where}: expected scan {expected}, found scan {number}")
    if before and instant(at) < instant(before[-1].at):
        raise UsageError(f"{where}: {at} is before the scan above it, {before[-1].at}")
    return RawScan(number, at, raw)


def _require_end(where: str, end: object, scans: list[RawScan], *, last_line: bool) -> None:
    last = scans[-1].number if scans else None
    if not last_line:
        raise UsageError(f"{where}: the end line stands before the end of the file")
    if last is not None and end != last:
        raise UsageError(
            f"{where}: the end line says scan {end}, the last one is scan {last}: lines are missing"
        )
