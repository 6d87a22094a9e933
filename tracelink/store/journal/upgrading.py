"""Bringing an older ledger to the schema of this program: its schema and its tables in one transaction."""

from sqlalchemy import Connection, Engine

from tracelink.errors import JournalError
from tracelink.store.database import server_guards
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import SCHEMA_VERSION, found_version, upgrade
from tracelink.store.database.storage_errors import storage_sentences
from tracelink.store.journal.rebuild import rebuild


def upgrade_ledger(place: str) -> tuple[str, str]:
    """Bring an older ledger to the schema of this program; returns the version before and after.

    The tables are then made anew from the journal: what an older program projected or kept of its stations is not always
    what this one would.

    Raises:
        UsageError: there is no ledger.
        NewerJournal: it was made by a newer program.
        BrokenChain: the journal does not verify; the schema is new, the tables are as they were.
    """
    with storage_sentences(place):
        engine = open_engine(ledger_url(place))
        try:
            with engine.connect() as conn:
                before = found_version(conn, place)
            if before < SCHEMA_VERSION:
                _upgrade_and_rebuild(engine)
            elif engine.dialect.name == "postgresql":
                with engine.begin() as conn:
                    server_guards.guard(conn)
        finally:
            engine.dispose()
    return before, SCHEMA_VERSION


def _upgrade_and_rebuild(engine: Engine) -> None:
    """Bring schema and tables up to date in one transaction: one that is killed is begun anew, and none is half done."""
    broken: list[JournalError] = []

    def rebuild_unless_broken(conn: Connection) -> None:
        try:
            with conn.begin_nested():
                rebuild(conn)
        except JournalError as problem:
            # The new schema is kept all the same: without it nobody could look at what is wrong with the journal.
            broken.append(problem)

    upgrade(engine, rebuild_unless_broken)
    for problem in broken:
        raise problem
