"""The file of a ledger as it was before an upgrade, and the room that the upgrade leaves.

An upgrade is whole or not at all, so the copy is not for one that is cut off: it is for whoever wants to go back to the older
program, or doubts the newer one. It is copied by SQLite itself while nothing else writes, and compared with the ledger entry
by entry before it gets its name.
"""

import hashlib
from pathlib import Path

import pysqlite3
from sqlalchemy import Engine

from tracelink.errors import LedgerDamaged
from tracelink.store.copies.part_file import written_whole
from tracelink.store.copies.retention import require_room
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import SCHEMA_VERSION, found_version
from tracelink.store.database.storage_errors import storage_sentences

_JOURNAL = (
    "SELECT j.*, p.packed FROM journal j LEFT JOIN journal_pack p ON p.seq = j.seq ORDER BY j.seq",
    "SELECT * FROM spool ORDER BY station, number",
)


def keep_before_upgrade(place: str) -> Path | None:
    """Copy the file of a ledger that will be upgraded, and return the copy; None where it is no file, or of today's schema.

    An earlier copy of the same schema is replaced: the ledger may have been used since, by the older program.

    Raises:
        UsageError: there is no ledger, or no room for a copy.
        LedgerDamaged: the file cannot be read to its end, so that no copy is like it.
        NotALedger, NewerJournal: as `found_version`.
    """
    url = ledger_url(place)
    if url.get_backend_name() != "sqlite" or not url.database:
        return None
    with storage_sentences(place):
        engine = open_engine(url)
        try:
            with engine.connect() as conn:
                before = found_version(conn, place)
            if before == SCHEMA_VERSION:
                return None
            return _copied(engine, Path(url.database), before)
        finally:
            engine.dispose()


def _copied(engine: Engine, file: Path, before: str) -> Path:
    require_room(str(file), file.parent)
    kept = file.with_name(f"{file.name}.schema-{before}")
    with engine.begin() as conn, written_whole(kept) as part:
        source = conn.connection.driver_connection
        copy = pysqlite3.connect(part, isolation_level=None)
        try:
            # The transaction has the turn to write, so that the ledger stays as it is until both were read.
            reading = pysqlite3.connect(f"file:{file}?mode=ro", uri=True)
            reading.backup(copy)
            reading.close()
            copy.execute("PRAGMA journal_mode=DELETE")
            damage = copy.execute("PRAGMA integrity_check(1)").fetchone()[0]
            if damage != "ok" or _digest(copy) != _digest(source):
                raise LedgerDamaged(
                    f"no copy of {file} could be made that is like it ({damage}), and nothing was upgraded: "
                    "bring back a backup with `runout restore`"
                )
        finally:
            copy.close()
    return kept


def _digest(conn: pysqlite3.Connection) -> str:
    digest = hashlib.sha256()
    for query in _JOURNAL:
        for row in conn.execute(query):
            digest.update(repr(row).encode("utf-8", errors="backslashreplace"))
    return digest.hexdigest()


def give_back_room(place: str) -> None:
    """Make the file of a ledger as small as what is in it; where that cannot be now, it stays large and nothing else."""
    url = ledger_url(place)
    if url.get_backend_name() != "sqlite" or not url.database:
        return
    conn = pysqlite3.connect(url.database, isolation_level=None)
    try:
        conn.execute("VACUUM")
        conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except pysqlite3.OperationalError:
        # Somebody reads, or the disk has no room for both: the free pages are used by what comes.
        pass
    finally:
        conn.close()
