"""One terminal to a station: a disc scanned at one must never be matched with a sleeve scanned at another.

A live station holds a lock on a small file beside the ledger for as long as it runs; the system lets go of it
however the program ends. The file stays, because removing it would let two programs hold two files of one name.
A ledger on a database server has no such file; there the plant sees to it that a station is opened once.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tracelink.errors import RefusedByRule, StorageFailed
from tracelink.store.engine import ledger_url


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
            raise RefusedByRule(
                f"station {station} is open in another terminal. Close it there first: a disc scanned at one must "
                "not be matched with a sleeve scanned at the other"
            ) from None
        yield
