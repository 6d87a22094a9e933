"""An empty ledger beside the one that is looked at, to replay or judge it in."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Engine

from tracelink.store.database.engine import open_scratch
from tracelink.store.database.schema import upgrade


@contextmanager
def scratch_ledger() -> Iterator[Engine]:
    """Open an empty ledger in a temporary file that vanishes when it is closed."""
    engine = open_scratch()
    try:
        upgrade(engine)
        yield engine
    finally:
        engine.dispose()
