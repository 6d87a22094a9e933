"""Which backups in a folder may go: only those that a newer, verified one holds whole.

A backup is named by its ledger and the time it was made. After a new one was verified, the oldest beyond the number to
be kept are removed, and of those only such whose journal is the beginning of the new one's: were the journal written
anew in the meantime, or another ledger copied under the same name, the old backup is the only witness, and it stays.
"""

import re
import shutil
from pathlib import Path

from tracelink.errors import LedgerError, StorageFailed
from tracelink.facts.upkeep.backups_kept import BackupsKept
from tracelink.ledger.proof.chain import Head
from tracelink.store.database.engine import ledger_url
from tracelink.store.journal import journal
from tracelink.store.ledger import Ledger

_TIME = r"[0-9]{8}T[0-9]{6}Z(-[0-9]+)?"


def backup_name(place: str, folder: Path, at: str) -> Path:
    """Return the name of a new backup in `folder`.

    Args:
        place: the ledger.
        folder: where the backup goes.
        at: UTC, RFC 3339, whole seconds.
    """
    stem = f"{_stem(place)}-{at.replace('-', '').replace(':', '')}"
    number, name = 1, folder / f"{stem}.db"
    while name.exists():
        number += 1
        name = folder / f"{stem}-{number}.db"
    return name


def backup_pattern(place: str) -> re.Pattern[str]:
    """Return what matches each name that `backup_name` gives to copies of a ledger."""
    return re.compile(rf"{re.escape(_stem(place))}-{_TIME}\.db")


def _stem(place: str) -> str:
    return Path(str(ledger_url(place).database)).stem


def require_room(place: str, folder: Path) -> None:
    """Look before copying whether a copy of the ledger fits.

    Raises:
        StorageFailed: fewer bytes are free than the ledger has.
    """
    file = Path(str(ledger_url(place).database))
    # The log beside the ledger holds what was committed last, and goes into the copy.
    needed = sum(part.stat().st_size for part in (file, file.with_name(file.name + "-wal")) if part.is_file())
    free = shutil.disk_usage(folder).free
    if free < needed:
        raise StorageFailed(
            f"the disk that holds {folder} has {free} bytes free, and a copy of {place} needs up to {needed}: nothing was "
            "copied; make room, or copy to another disk"
        )


def thin_out(place: str, made: Path, keep: int) -> BackupsKept:
    """Remove the oldest backups of a ledger beyond the newest `keep`, as far as `made` holds them whole.

    Args:
        place: the ledger.
        made: the new backup, verified a moment ago; it is never removed.
        keep: how many to keep, 1 or more, `made` counted.
    """
    pattern = backup_pattern(place)
    found = sorted((file for file in made.parent.iterdir() if pattern.fullmatch(file.name)), key=_age)
    older = [file for file in found if file != made]
    removed, spared = [], []
    for file in older[: max(0, len(older) + 1 - keep)]:
        why = _unheld(file, made)
        if why:
            spared.append(f"{file} stays: {why}")
        else:
            file.unlink()
            removed.append(file.name)
    return BackupsKept(tuple(removed), tuple(spared))


def _age(file: Path) -> tuple[str, int]:
    time, _, number = file.stem.rpartition("Z")
    return time, int(number.removeprefix("-") or 1)


def _unheld(old: Path, new: Path) -> str:
    """Say why an old backup is not the beginning of a new one; empty if it is."""
    try:
        head = _head(old)
    except LedgerError as problem:
        return f"it cannot be read ({problem})"
    if head.seq == 0:
        return ""
    ledger = Ledger.open(str(new), read_only=True)
    try:
        with ledger.reading() as conn:
            row = next(journal.rows(conn, head.seq - 1), None)
    finally:
        ledger.close()
    if row is None or row.hash != head.hash:
        return (
            f"its entry {head.seq} is {head.hash}, and the new backup has another there or none: the journal was "
            "written anew since, or it is another ledger"
        )
    return ""


def _head(file: Path) -> Head:
    ledger = Ledger.open(str(file), read_only=True)
    try:
        return ledger.head()
    finally:
        ledger.close()
