"""Copying a ledger while stations run, and bringing a copy back.

A copy is made by SQLite itself from one consistent state, under a temporary name; it is verified, synced and
only then given its name, so that a file with that name is always a whole ledger. Never copy the file of a
running ledger by other means: what was committed last lies in the write-ahead log beside it.
"""

import re
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from sqlalchemy import select, text

from tracelink.errors import ProjectionDiffers, RefusedByRule, UsageError
from tracelink.ledger.proof.chain import Head
from tracelink.store.copies.part_file import PART, only_writer, require_free, written_whole
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.storage_errors import storage_sentences
from tracelink.store.database.tables_stations import spool
from tracelink.store.journal.verify import verify_ledger
from tracelink.store.ledger import Ledger, remove_ledger_file

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
        raise UsageError(
            f"{source} is on a database server: use the server's own backup, or `runout copy` into a file"
        )
    require_free(target)
    Ledger.open(source, read_only=True).close()
    with written_whole(target) as part:
        with storage_sentences(str(target)):
            _vacuum_into(source, part)
        return _verified(part, progress)


def remove_left_parts(folder: Path, name: re.Pattern[str]) -> None:
    """Remove what copies left behind that were killed; one that is being written is left alone.

    Args:
        folder: where copies lie.
        name: of a whole copy that may have been meant.
    """
    for part in [file for file in folder.iterdir() if file.name.endswith(PART)]:
        if name.fullmatch(part.name.removesuffix(PART)):
            with suppress(OSError, RefusedByRule), only_writer(part):
                remove_ledger_file(part)


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
