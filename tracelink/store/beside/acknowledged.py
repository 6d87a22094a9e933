"""How far a station got in a file of its own, beside the ledger's: what tells of scans that the ledger lost.

A ledger whose write-ahead log was taken away, or which an older copy replaced, is whole and knows nothing of what is missing. The
number of the last scan whose verdict was shown stands in the station's lock file; it is written behind the commit, so it never
names a scan that was not durable. Where the ledger ends before it, the gap is written down in the same file and stays, until
somebody removes that file.
"""

import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

_WIDTH = 20
_GAP = re.compile(r"lost (\d{1,18}) to (\d{1,18})")


@dataclass(frozen=True, slots=True)
class LostScans:
    """Scans of a station that were booked and shown, and that the ledger had no more."""

    station: str
    first: int
    last: int
    file: Path

    @property
    def sentence(self) -> str:
        """What is missing, and what to do about it."""
        return (
            f"station {self.station}: scans {self.first} to {self.last} were booked and their verdicts shown, and the ledger did not "
            "hold them any more: its write-ahead log was taken away, or an older copy was put in its place. Look at what was done "
            f"there, and scan again what is missing; {self.file.name} tells it until somebody removes that file"
        )


@dataclass(frozen=True, slots=True)
class StationNote:
    """What the lock file of a station says."""

    station: str
    file: Path
    last: int
    """Number of the last scan whose verdict was shown; 0 if it says none."""
    gaps: tuple[tuple[int, int], ...]
    """First and last number of scans that the ledger lost before the station was opened again."""


def lock_file(ledger: Path, station: str) -> Path:
    """Return the file that a station of a ledger in a file locks."""
    return ledger.with_name(f"{ledger.name}-{station}.lock")


def note_last(file: int, number: int) -> None:
    """Write down the number of the last scan whose verdict may be shown.

    Args:
        file: descriptor of the station's lock file, whose lock is held.
        number: of the scan.
    """
    os.pwrite(file, b"%*d\n" % (_WIDTH, number), 0)


def note_gap(file: int, booked: int) -> bool:
    """Write down which scans the ledger lost since; return whether it lost any.

    Args:
        file: as for `note_last`.
        booked: number of the last scan that the ledger has.
    """
    noted = _last(os.pread(file, _WIDTH, 0))
    if noted <= booked:
        return False
    os.pwrite(file, b"lost %d to %d\n" % (booked + 1, noted), max(os.fstat(file).st_size, _WIDTH + 1))
    note_last(file, booked)
    return True


def notes_beside(ledger: Path) -> list[StationNote]:
    """Return what the lock files beside a ledger say; a file that cannot be read says nothing.

    Whoever compares them with a ledger that is in use reads them first: a scan is booked before it is noted.
    """
    begin, found = f"{ledger.name}-", []
    for file in sorted(ledger.parent.iterdir()):
        if not (file.name.startswith(begin) and file.name.endswith(".lock")):
            continue
        try:
            text = file.read_bytes()
        except OSError:
            continue
        gaps = tuple((int(first), int(last)) for first, last in _GAP.findall(text.decode("latin-1")))
        found.append(
            StationNote(file.name.removeprefix(begin).removesuffix(".lock"), file, _last(text[:_WIDTH]), gaps)
        )
    return found


def lost_scans(notes: Iterable[StationNote], booked: Mapping[str, int]) -> Iterator[LostScans]:
    """Yield what a ledger lost of the scans that were noted.

    Args:
        notes: of all stations.
        booked: station -> number of the last scan that the ledger has; read after the notes.
    """
    for note in notes:
        for first, last in note.gaps:
            yield LostScans(note.station, first, last, note.file)
        had = booked.get(note.station, note.last)
        if note.last > had:
            yield LostScans(note.station, had + 1, note.last, note.file)


def _last(text: bytes) -> int:
    number = text.strip()
    return int(number) if number.isdigit() and len(number) < _WIDTH else 0
