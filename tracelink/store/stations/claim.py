"""One terminal to a station: a disc scanned at one must never be matched with a sleeve scanned at another.

A live station holds a lock on a small file beside the ledger for as long as it runs; the system lets go of it
however the program ends. The file stays, because removing it would let two programs hold two files of one name.
A ledger on a database server has no such file; there the lock is one of the server's own, held by a connection that does
nothing else. The server lets go of it when that connection ends.
"""

import hashlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from sqlalchemy import URL, func, select

from tracelink.errors import RefusedByRule, StorageFailed
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.storage_errors import storage_sentences


@contextmanager
def station_claim(place: str, station: str) -> Iterator[None]:
    """Be the only live program at a station while the block runs.

    Args:
        place: the ledger, as given by --ledger.
        station: its code.

    Raises:
        RefusedByRule: the station is open in another terminal.
        StorageFailed: the file cannot be made.
    """
    url = ledger_url(place)
    if url.get_backend_name() == "postgresql":
        with _server_claim(place, url, station):
            yield
        return
    if url.get_backend_name() != "sqlite" or not url.database:
        yield
        return
    import fcntl  # noqa: PLC0415  POSIX only, like the file locks of SQLite in WAL mode that this stands beside

    try:
        file = Path(f"{url.database}-{station}.lock").open("a")  # noqa: SIM115  closed below, whatever happens
    except OSError as problem:
        raise StorageFailed(
            f"station {station} cannot be opened beside {place}: {problem.strerror}"
        ) from None
    with file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise _open_elsewhere(station) from None
        yield


@contextmanager
def _server_claim(place: str, url: URL, station: str) -> Iterator[None]:
    # Any number that is the same for the same station will do; the server knows locks by number only.
    number = int.from_bytes(hashlib.sha256(f"runout station {station}".encode()).digest()[:8], signed=True)
    engine = open_engine(url)
    with ExitStack() as open_now:
        open_now.callback(engine.dispose)
        with storage_sentences(place):
            conn = open_now.enter_context(engine.connect())
            # Not inside a transaction: it would stay open for as long as the station does.
            alone = conn.execution_options(isolation_level="AUTOCOMMIT")
            got = alone.execute(select(func.pg_try_advisory_lock(number))).scalar()
        if not got:
            raise _open_elsewhere(station)
        yield


def _open_elsewhere(station: str) -> RefusedByRule:
    return RefusedByRule(
        f"station {station} is open in another terminal. Close it there first: a disc scanned at one must "
        "not be matched with a sleeve scanned at the other"
    )
