"""An empty ledger beside the one that is looked at, to replay or judge it in."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Engine

from tracelink.datadir import data_dir
from tracelink.store.database.engine import open_scratch
from tracelink.store.database.schema import SCHEMA_VERSION, upgrade


@contextmanager
def scratch_ledger() -> Iterator[Engine]:
    """Open an empty ledger in a temporary file that vanishes when it is closed."""
    engine = open_scratch()
    try:
        lay_down_schema(engine)
        yield engine
    finally:
        engine.dispose()


def lay_down_schema(engine: Engine) -> None:
    """Give an empty SQLite database the tables of a ledger, as `upgrade` would in thirty times the time.

    What all migrations come to is written down beside them. It is for what is thrown away only: every ledger that is kept
    is made by the migrations themselves.
    """
    written = data_dir("migrations") / f"schema_{SCHEMA_VERSION}.sql"
    if not written.is_file():
        # Of a version that is being worked on nobody has written it down yet.
        upgrade(engine)
        return
    with engine.connect() as conn:
        conn.connection.executescript(written.read_text(encoding="utf-8"))
