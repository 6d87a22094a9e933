"""One terminal to a station: a disc scanned at one must never be matched with a sleeve scanned at another.

A live station, or a replay of its log, holds a lock on a small file beside the ledger for as long as it runs; the system
lets go of it however the program ends. The file stays, because removing it would let two programs hold two files of one
name. A ledger on a database server has no such file; there the lock is one of the server's own, held by a connection that
does nothing else. The server lets go of it when that connection ends.

A lock can be lost while the program runs: the server was started again, or somebody removed the file. So each scan asks, in
its own transaction, whether the lock is still held, and whether the station's last scan is the one that this program booked.
What was lost is taken again only where nobody scanned at the station in between. It asks as well whether the ledger is still
the one that it booked into (`store/beside/log_watch.py`, `store/beside/acknowledged.py`).
"""

import hashlib
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Protocol

from sqlalchemy import URL, Connection, bindparam, func, select

from tracelink.errors import RefusedByRule, StationTaken, StorageFailed
from tracelink.store.beside.acknowledged import lock_file, note_gap, note_last
from tracelink.store.beside.log_watch import LogWatch
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.storage_errors import storage_sentences

_IS_FREE = select(func.pg_try_advisory_xact_lock(bindparam("token")))


class _Hold(Protocol):
    """What keeps other programs from a station."""

    def take(self) -> bool:
        """Take it, and say whether nobody else has it."""

    def is_held(self, conn: Connection) -> bool:
        """Say whether this program still has it, inside the transaction of a scan."""

    def let_go(self) -> None:
        """Let others have it."""

    def has_its_log(self, conn: Connection) -> bool:
        """Say whether what is booked in this transaction will be found again."""

    def acknowledged(self, number: int) -> None:
        """Keep, outside the ledger, the number of a scan that is durable."""

    def lost(self, booked: int) -> bool:
        """Say whether scans that were kept so are in the ledger no more, whose last is `booked`; says so once."""


_NOT_THERE = (
    "station {station}: the ledger's write-ahead log was taken away, emptied or replaced while the station was open. Nothing more is "
    "booked from here: end this one, find out who did it, and open the station again: it says whether scans are missing"
)
_LOST = (
    "station {station}: the ledger's last scan here is {booked}, and scan {last} was booked and shown: the ledger lost what came after "
    "{booked}. Its write-ahead log was taken away, or an older copy was put in its place. Nothing more is booked from here: end this "
    "one; `runout audit verify` tells what is missing"
)
_BEGINS = (
    "station {station}: the ledger's last scan here is {booked}, and later ones were booked and shown: its write-ahead log was taken "
    "away, or an older copy was put in its place. `runout audit verify` tells what is missing. Look at what was done since; the "
    "station can be opened again, and goes on after scan {booked}"
)


class StationClaim:
    """The right to be the only program at a station; made by `station_claim`."""

    def __init__(self, station: str, hold: _Hold) -> None:
        self._station = station
        self._hold = hold
        self._last: int | None = None
        self.kept = ""
        """The line of the last scan that was booked from here, as the ledger keeps it; empty if none was."""
        self.recorded = ""
        """When that was recorded, UTC; empty if none was."""

    def require(self, conn: Connection, last: int) -> None:
        """Make sure that nobody else is or was at the station; inside the transaction of each scan, before it is judged.

        Args:
            conn: the connection of the transaction, which is the only writer.
            last: number of the last scan booked at the station.

        Raises:
            StationTaken: somebody else is, or was.
        """
        if self._last is not None and last < self._last:
            raise StationTaken(_LOST.format(station=self._station, booked=last, last=self._last))
        if not self._hold.has_its_log(conn):
            raise StationTaken(_NOT_THERE.format(station=self._station))
        if self._last not in (None, last):
            raise StationTaken(
                f"station {self._station} was opened in another terminal meanwhile: its last scan here was {self._last}, and it "
                f"has {last} now. Nothing more is booked from here: end this one, and open the station in one terminal only"
            )
        if not self._hold.is_held(conn) and not self._hold.take():
            raise StationTaken(
                f"station {self._station} is open in another terminal now, because the server was started again or its lock "
                "file was removed. Nothing more is booked from here: end this one, or the other"
            )
        self._last = last

    @property
    def last(self) -> int:
        """Number of the last scan that was booked when this program last looked."""
        return self._last or 0

    def booked(self, number: int, kept: str = "", recorded: str = "") -> None:
        """Remember the number of the last scan that was booked from here, its line as it is kept, and when it was recorded."""
        self._last, self.kept, self.recorded = number, kept, recorded
        self._hold.acknowledged(number)

    def begins_at(self, number: int) -> None:
        """Begin after the scan that the ledger says was the last.

        Raises:
            StationTaken: scans were booked here that the ledger has no more; said once, and kept for `audit verify`.
        """
        if self._hold.lost(number):
            raise StationTaken(_BEGINS.format(station=self._station, booked=number))
        self.booked(number)


@contextmanager
def station_claim(place: str, station: str) -> Iterator[StationClaim]:
    """Be the only live program at a station while the block runs.

    Args:
        place: the ledger, as given by --ledger.
        station: its code.

    Raises:
        RefusedByRule: the station is open in another terminal.
        StorageFailed: the file cannot be made.
    """
    hold = _hold(place, station)
    try:
        if not hold.take():
            raise RefusedByRule(
                f"station {station} is open in another terminal. Close it there first: a disc scanned at one must "
                "not be matched with a sleeve scanned at the other"
            )
        yield StationClaim(station, hold)
    finally:
        hold.let_go()


def _hold(place: str, station: str) -> _Hold:
    url = ledger_url(place)
    if url.get_backend_name() == "postgresql":
        return _ServerHold(place, url, station)
    if not url.database:
        return _NobodyElse()
    return _FileHold(place, Path(url.database), station)


class _FileHold:
    """A lock on a file beside the ledger's."""

    def __init__(self, place: str, ledger: Path, station: str) -> None:
        self._place = place
        self._path = lock_file(ledger, station)
        self._watch = LogWatch(ledger)
        self._station = station
        self._file: int | None = None

    def take(self) -> bool:
        import fcntl  # noqa: PLC0415  POSIX only, like the file locks of SQLite in WAL mode that this stands beside

        self.let_go()
        try:
            file = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o666)
        except OSError as problem:
            raise StorageFailed(
                f"station {self._station} cannot be opened beside {self._place}: {problem.strerror}"
            ) from None
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(file)
            return False
        self._file = file
        return True

    def is_held(self, conn: Connection) -> bool:  # noqa: ARG002  only a server is asked
        if self._file is None:
            return False
        try:
            # Whoever removed the file lets somebody else lock another one of that name.
            return os.path.samestat(os.fstat(self._file), self._path.stat())
        except OSError:
            return False

    def let_go(self) -> None:
        if self._file is not None:
            os.close(self._file)
            self._file = None

    def has_its_log(self, conn: Connection) -> bool:
        return self._watch.is_as_it_was(conn)

    def acknowledged(self, number: int) -> None:
        if self._file is not None:
            with suppress(OSError):
                # The scan is booked. On a full disk this file is an older witness.
                note_last(self._file, number)

    def lost(self, booked: int) -> bool:
        return self._file is not None and note_gap(self._file, booked)


class _NothingBeside:
    """What lies in no file: no log can be taken from it, and nothing is kept outside. A server looks after its own."""

    def has_its_log(self, conn: Connection) -> bool:  # noqa: ARG002  see above
        return True

    def acknowledged(self, number: int) -> None:
        """Keep nothing."""

    def lost(self, booked: int) -> bool:  # noqa: ARG002  see above
        return False


class _ServerHold(_NothingBeside):
    """Two locks of a server's own, held by one connection: one for the station, and one that nobody else knows."""

    def __init__(self, place: str, url: URL, station: str) -> None:
        self._place = place
        self._engine = open_engine(url)
        self._conn: Connection | None = None
        # Any number that is the same for the same station will do; the server knows locks by number only.
        self._number = _number(f"runout station {station}")
        self._token = 0

    def take(self) -> bool:
        self.let_go()
        # A new one each time: whoever asked about the old one holds it until its transaction ends.
        self._token = _number(secrets.token_hex())
        with storage_sentences(self._place):
            # Not inside a transaction: it would stay open for as long as the station does.
            self._conn = self._engine.connect().execution_options(isolation_level="AUTOCOMMIT")
            got = self._conn.execute(select(func.pg_try_advisory_lock(self._number))).scalar()
            if got:
                self._conn.execute(select(func.pg_advisory_lock(self._token)))
        if not got:
            self.let_go()
        return bool(got)

    def is_held(self, conn: Connection) -> bool:
        # The second lock can be had only if the connection that held both is gone; asking about it is quick, whatever
        # number of locks there are. Had, it lasts as long as the transaction, which is refused or goes on with new ones.
        return not conn.execute(_IS_FREE, {"token": self._token}).scalar()

    def let_go(self) -> None:
        if self._conn is not None:
            with suppress(Exception):
                # It may be broken, and that is why it is let go of.
                self._conn.invalidate()
                self._conn.close()
            self._conn = None
        self._engine.dispose()


class _NobodyElse(_NothingBeside):
    """A ledger in memory is this program's own."""

    def take(self) -> bool:
        return True

    def is_held(self, conn: Connection) -> bool:  # noqa: ARG002  nothing is asked
        return True

    def let_go(self) -> None:
        """Nothing was taken."""


def _number(name: str) -> int:
    return int.from_bytes(hashlib.sha256(name.encode()).digest()[:8], signed=True)
