"""Copying a ledger while stations run, and bringing a copy back.

A copy is made by SQLite itself from one consistent state, under a temporary name; it is verified, synced and
only then given its name, so that a file with that name is always a whole ledger. Never copy the file of a
running ledger by other means: what was committed last lies in the write-ahead log beside it.
"""

import os
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sqlalchemy import select, text

from tracelink.errors import ProjectionDiffers, RefusedByRule, StorageFailed, UsageError
from tracelink.ledger.proof.chain import Head
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.storage_errors import storage_sentences
from tracelink.store.database.tables_stations import spool
from tracelink.store.journal.verify import verify_ledger
from tracelink.store.ledger import Ledger

Progress = Callable[[int], None]

_PART = ".part"


def copy_ledger(source: str, target: Path, progress: Progress = lambda _seq: None) -> tuple[Head, int]:
    """Write a verified copy of the ledger `source` to `target`.

    Args:
        source: a SQLite ledger.
        target: a file that does not exist yet.
        progress: called with each sequence number verified in the copy.

    Returns:
        The head of the copy and how many scans lie in its spool, not sealed yet.

    Raises:
        UsageError: the target exists, or the ledger is on a database server, which has its own backups.
        BrokenChain, ProjectionDiffers: the ledger does not verify; no copy is left.
    """
    url = ledger_url(source)
    if url.get_backend_name() != "sqlite" or not url.database:
        raise UsageError(f"{source} is on a database server: use the server's own backup")
    if target.exists():
        raise UsageError(f"{target} exists already; a copy never overwrites anything")
    if not target.parent.is_dir():
        raise UsageError(f"the folder of {target} does not exist")
    Ledger.open(source, read_only=True).close()
    part = target.with_name(target.name + _PART)
    with _only_copy(part):
        try:
            with storage_sentences(str(target)):
                _vacuum_into(source, part)
            found = _verified(part, progress)
            _sync(part)
            os.replace(part, target)  # noqa: PTH105  the two are one file system and one name apart
            _sync(target.parent)
        finally:
            _remove_part(part)
    return found


def remove_left_parts(folder: Path, name: re.Pattern[str]) -> None:
    """Remove what copies left behind that were killed; one that is being written is left alone.

    Args:
        folder: where copies lie.
        name: of a whole copy that may have been meant.
    """
    for part in [file for file in folder.iterdir() if file.name.endswith(_PART)]:
        if name.fullmatch(part.name.removesuffix(_PART)):
            with suppress(OSError, RefusedByRule), _only_copy(part):
                _remove_part(part)


@contextmanager
def _only_copy(part: Path) -> Iterator[None]:
    """Begin an empty file in which nobody else writes a copy while the block runs; the system lets go of it at any end.

    Raises:
        RefusedByRule: another copy is being written there.
        StorageFailed: the file cannot be made.
    """
    import fcntl  # noqa: PLC0415  POSIX only, and no lock of SQLite's

    try:
        file = part.open("ab")
    except OSError as problem:
        raise StorageFailed(f"{part} cannot be written: {problem.strerror}") from None
    with file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise RefusedByRule(f"{part} is being written by another backup: wait for it") from None
        # SQLite copies into an empty file only.
        file.truncate(0)
        yield


def _remove_part(part: Path) -> None:
    for ending in ("", "-journal"):
        part.with_name(part.name + ending).unlink(missing_ok=True)


def _vacuum_into(source: str, part: Path) -> None:
    # The file itself is opened so that it cannot be written; only the second guard has to go, because it counts
    # the copy as a write of this connection.
    engine = open_engine(ledger_url(source), read_only=True)
    try:
        raw = engine.raw_connection()
        try:
            driver = raw.driver_connection
            assert driver is not None
            driver.execute("PRAGMA query_only=OFF")
            driver.execute("VACUUM INTO ?", (str(part),))
        finally:
            raw.close()
    finally:
        engine.dispose()


def _verified(file: Path, progress: Progress) -> tuple[Head, int]:
    ledger = Ledger.open(str(file), read_only=True)
    try:
        with ledger.reading() as conn:
            problems = [str(row[0]) for row in conn.execute(text("PRAGMA quick_check")) if row[0] != "ok"]
            if problems:
                raise UsageError(f"the copy {file} is damaged: {problems[0]}")
            head, differences = verify_ledger(conn, progress)
            if differences:
                raise ProjectionDiffers(
                    f"the tables are not what the journal says ({differences[0]}); `runout audit verify` lists all, "
                    "`runout rebuild` makes them anew"
                )
            waiting = len(conn.execute(select(spool.c.number)).all())
    finally:
        ledger.close()
    return head, waiting


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
