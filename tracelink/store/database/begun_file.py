"""What a program that was killed while it made a ledger leaves behind: a file without tables, or a ledger without an entry."""

from pathlib import Path

from sqlalchemy import URL, text
from sqlalchemy.exc import DBAPIError

from tracelink.errors import LedgerError, UsageError
from tracelink.store.database.engine import open_engine
from tracelink.store.database.storage_errors import DRIVER_ERRORS

_TABLES = text("SELECT name FROM sqlite_master WHERE type = 'table'")
_FIRST = text("SELECT 1 FROM journal LIMIT 1")


def require_unused(url: URL, place: str) -> bool:
    """Make sure that a ledger may be made at a place, and say whether no file is there yet.

    Args:
        url: of the place. What a database holds that a server keeps is looked at when something is written.
        place: as people name it.

    Raises:
        UsageError: something is there, or there is no folder for it.
    """
    if url.get_backend_name() != "sqlite" or not url.database:
        return True
    file = Path(url.database)
    if file.exists() and not _is_begun_only(url):
        raise UsageError(f"{place} exists already; a ledger is never overwritten")
    if not file.resolve().parent.is_dir():
        raise UsageError(f"the folder of {place} does not exist")
    return not file.exists()


def _is_begun_only(url: URL) -> bool:
    if not Path(str(url.database)).is_file():
        return False
    try:
        engine = open_engine(url, read_only=True)
        try:
            with engine.connect() as conn:
                tables = {*conn.execute(_TABLES).scalars()}
                is_ledger = {"journal", "alembic_version"} <= tables
                return not tables or (is_ledger and conn.execute(_FIRST).first() is None)
        finally:
            engine.dispose()
    except (LedgerError, DBAPIError, *DRIVER_ERRORS):
        # It is something else, or damaged: nobody writes over that.
        return False
