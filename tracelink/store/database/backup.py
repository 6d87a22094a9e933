"""Copying a ledger while stations run, and bringing a copy back.

A copy is made by SQLite itself from one consistent state, under a temporary name; it is verified, synced and
only then given its name, so that a file with that name is always a whole ledger. Never copy the file of a
running ledger by other means: what was committed last lies in the write-ahead log beside it.
"""

import os
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import select, text

from tracelink.errors import ProjectionDiffers, UsageError
from tracelink.ledger.proof.chain import Head
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.storage_errors import storage_sentences
from tracelink.store.database.tables_stations import spool
from tracelink.store.journal.verify import verify_ledger
from tracelink.store.ledger import Ledger

Progress = Callable[[int], None]


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
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    try:
        with storage_sentences(str(target)):
            _vacuum_into(source, part)
        found = _verified(part, progress)
        _sync(part)
        os.replace(part, target)  # noqa: PTH105  the two are one file system and one name apart
        _sync(target.parent)
    finally:
        part.unlink(missing_ok=True)
    return found


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
