"""An auditor's session: no ledger is opened for writing. Needs no database, so that saying so costs nothing."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from tracelink.errors import RefusedByRule

_ONLY_READING: ContextVar[bool] = ContextVar("only_reading", default=False)
# Looked at where every connection is made, so that no command has to remember it.


@contextmanager
def only_reading() -> Iterator[None]:
    """Refuse every ledger that would be opened for writing while the block runs: an auditor's session."""
    token = _ONLY_READING.set(True)
    try:
        yield
    finally:
        _ONLY_READING.reset(token)


def require_writable(place: str) -> None:
    """Refuse to write to the ledger at `place`, or to anything else, in an auditor's session.

    Raises:
        RefusedByRule: `only_reading` is in force.
    """
    if _ONLY_READING.get():
        raise RefusedByRule(
            f"{place} is opened to be read only (--read-only): nothing may be written; leave the option out to act"
        )
