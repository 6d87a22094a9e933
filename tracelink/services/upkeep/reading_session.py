"""A session that only reads, begun before anything of the database is needed."""

from contextlib import AbstractContextManager

from tracelink.store.only_reading import only_reading


def reading_session() -> AbstractContextManager[None]:
    """Return a block in which every ledger that would be opened for writing is refused."""
    return only_reading()
