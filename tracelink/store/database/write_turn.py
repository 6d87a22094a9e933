"""Waiting in turn to write to a SQLite ledger.

SQLite lets whoever finds the ledger locked sleep ever longer, up to a tenth of a second, and whoever comes at the right moment
goes first: where many stations scan, some wait for seconds and others not at all. So a writer first draws a number from a
small file beside the ledger and locks the byte of that number; it is its turn when nobody locks a byte before it. The system
lets go of a lock however a program ends, so nobody waits for one that was killed. The turn decides only who asks SQLite next:
that nobody writes beside another is still SQLite's own lock.
"""

import os
import struct
import time
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import URL

from tracelink.store.database.server_engine import BUSY_TIMEOUT_MS
from tracelink.store.database.storage_errors import ledger_busy

_BETWEEN_LOOKS_S = 0.0005
"""A scan holds the ledger for a few milliseconds."""
_NUMBER = struct.Struct("<q")
_FIRST = 64
"""The byte of number 0, which is nobody's; what is before it holds the number that is drawn next."""
_MOST = 1 << 62
_LOCK = struct.Struct("hhqqi")
"""Kind, where its start counts from, start, length, process: as Linux has it."""


@contextmanager
def write_turn(url: URL, place: str) -> Iterator[None]:
    """Wait for the turn to write, and have it while the block runs.

    Args:
        url: of the ledger. A database server has a queue of its own, and one in memory has one writer.
        place: the ledger as people name it.

    Raises:
        LedgerBusy: it did not come within the time that a writer waits.
    """
    file = _opened(url)
    if file is None:
        yield
        return
    try:
        _wait(file, _draw(file), place)
        yield
    finally:
        os.close(file)


def _opened(url: URL) -> int | None:
    if url.get_backend_name() != "sqlite" or url.database in {None, "", ":memory:"}:
        return None
    try:
        return os.open(f"{url.database}-turn", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o666)
    except OSError:
        # SQLite says why nothing can be written here.
        return None


def _draw(file: int) -> int:
    """Draw a number and lock its byte; 0, whose turn it always is, where that cannot be done."""
    import fcntl  # noqa: PLC0415  POSIX only, like the file locks of SQLite in WAL mode that this stands beside

    # Held for these few lines only, so nobody waits long for it.
    fcntl.flock(file, fcntl.LOCK_EX)
    try:
        found = os.pread(file, _NUMBER.size, 0)
        [number] = _NUMBER.unpack(found) if len(found) == _NUMBER.size else (1,)
        number = number if 0 < number < _MOST else 1
        os.pwrite(file, _NUMBER.pack(number + 1), 0)
        fcntl.fcntl(file, fcntl.F_OFD_SETLK, _LOCK.pack(fcntl.F_WRLCK, os.SEEK_SET, _FIRST + number, 1, 0))
    except OSError:
        # The disk is full, or somebody wrote into the file: no reason to book nothing.
        return 0
    finally:
        fcntl.flock(file, fcntl.LOCK_UN)
    return number


def _wait(file: int, number: int, place: str) -> None:
    import fcntl  # noqa: PLC0415  see above

    if not number:
        return
    until = time.monotonic() + BUSY_TIMEOUT_MS / 1000
    before = _LOCK.pack(fcntl.F_WRLCK, os.SEEK_SET, _FIRST, number, 0)
    while _LOCK.unpack_from(fcntl.fcntl(file, fcntl.F_OFD_GETLK, before))[0] != fcntl.F_UNLCK:
        if time.monotonic() > until:
            raise ledger_busy(place)
        time.sleep(_BETWEEN_LOOKS_S)
