"""A ledger: the one object that commands hold. Opens transactions, books scans, records acts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from sqlalchemy import URL, Connection, Engine, Transaction

from tracelink.clock import utc_now
from tracelink.errors import BookingUnknown, LedgerDamaged, LedgerError
from tracelink.ledger.packs import RawScan
from tracelink.store.database.begun_file import require_unused
from tracelink.store.database.engine import ledger_url, open_engine, take_write_lock
from tracelink.store.database.schema import require_schema, upgrade
from tracelink.store.database.storage_errors import commit, storage_sentences
from tracelink.store.statements import kept_rows

if TYPE_CHECKING:
    from tracelink.ledger.proof.chain import Head
    from tracelink.station.common.outcome import Verdict
    from tracelink.store.stations.booking import Booking
    from tracelink.store.stations.claim import StationClaim
    from tracelink.store.stations.scan_signer import ScanSigner
    from tracelink.store.stations.station_memory import Memory

# What writes is imported when it is first called: reading must not pay for the rules of stations.


def remove_ledger_file(file: str | Path) -> None:
    """Remove a SQLite file that nobody has open, and what lies beside it; there may be none."""
    for ending in ("", "-wal", "-shm", "-journal", "-turn"):
        Path(f"{file}{ending}").unlink(missing_ok=True)


def _remove_made(url: URL) -> None:
    """Remove a SQLite file that was begun and not finished: it would bar the next try."""
    if url.get_backend_name() == "sqlite" and url.database:
        remove_ledger_file(url.database)


class Ledger:
    """An open ledger."""

    def __init__(self, place: str, engine: Engine, now: Callable[[], str] = utc_now) -> None:
        """Hold an engine that has been set up; use `open` or `create`."""
        self.place = place
        self.secrets_of = place
        self._engine = engine
        self._now = now

    @classmethod
    def open(cls, place: str, *, read_only: bool = False, now: Callable[[], str] = utc_now) -> Ledger:
        """Open the ledger at a file path or database URL.

        Args:
            place: as given by --ledger.
            read_only: refuse every write on the connections of this object.
            now: the recording clock, UTC in whole seconds.

        Raises:
            LedgerMissing: there is none.
            UsageError: it is not a ledger, or an older one.
            NewerJournal: it was made by a newer program.
            LedgerDamaged: the database file is damaged.
        """
        url = ledger_url(place)
        with storage_sentences(place):
            # Looked at first by a connection that cannot write: setting a connection up for writing changes
            # the file, and a file of another program must stay as it is.
            engine = open_engine(url, read_only=True)
            ledger = cls(place, engine, now)
            try:
                with ledger.reading() as conn:
                    require_schema(conn, place)
            except UnicodeDecodeError as problem:
                # SQLite quotes what it stumbles over, and in a damaged schema that need not be text.
                engine.dispose()
                raise LedgerDamaged(
                    f"the ledger {place} is damaged: its schema cannot be read. Keep the file as it is, and compare it with "
                    "a backup"
                ) from problem
            except BaseException:
                engine.dispose()
                raise
            if read_only:
                return ledger
            engine.dispose()
            return cls(place, open_engine(url), now)

    @classmethod
    def create(cls, place: str, *, now: Callable[[], str] = utc_now) -> Ledger:
        """Make an empty ledger where there is none, or where a program was killed while it made one.

        Raises:
            UsageError: there is something at that place already, or no folder for it.
        """
        url = ledger_url(place)
        with storage_sentences(place):
            is_new = require_unused(url, place)
            engine = open_engine(url, must_exist=False)
            try:
                upgrade(engine)
            except BaseException:
                engine.dispose()
                if is_new:
                    _remove_made(url)
                raise
        return cls(place, engine, now)

    @contextmanager
    def writing(self) -> Iterator[Booking]:
        """Open a write transaction; it is committed at the end, or nothing of it is booked.

        Raises:
            BookingUnknown: the answer to the commit was lost, and the ledger cannot be asked now.
        """
        from tracelink.store.stations.booking import Booking  # noqa: PLC0415

        booking: Booking | None = None
        memory = self._memory
        try:
            with self.transaction() as conn:
                booking = Booking(conn, self._now, memory)
                yield booking
                booking.keep()
        except BaseException as problem:
            # What it would have left for the next one is not what the ledger holds.
            memory.left = None
            if booking is None or not isinstance(problem, BookingUnknown):
                raise
            self._require_kept(booking, problem)

    def _require_kept(self, booking: Booking, problem: BookingUnknown) -> None:
        """Ask the ledger whether it holds what a transaction booked whose end is not known.

        Raises:
            BookingUnknown: it cannot be asked now, or cannot tell.
            LedgerError: it does not; nothing was booked.
        """
        from tracelink.store.stations.written import is_kept  # noqa: PLC0415

        try:
            # With the write lock: a commit that is still on its way has come to its end then, one way or the other.
            with self.transaction() as conn:
                kept = is_kept(conn, booking.written)
        except LedgerError:
            raise problem from None
        if kept is None:
            raise problem
        if not kept:
            raise problem.refused from problem

    @cached_property
    def _memory(self) -> Memory:
        from tracelink.store.journal.pin_key import read_key  # noqa: PLC0415
        from tracelink.store.stations.station_memory import Memory  # noqa: PLC0415

        return Memory(pin_key=lambda: read_key(self.secrets_of))

    @contextmanager
    def dry_run(self) -> Iterator[Booking]:
        """Open a write transaction of which nothing is kept: for saying what an act would come to."""
        from tracelink.store.stations.booking import Booking  # noqa: PLC0415
        from tracelink.store.stations.station_memory import Memory  # noqa: PLC0415

        pin_key = self._memory.pin_key
        with self._begun() as (conn, transaction):
            yield Booking(conn, self._now, Memory(pin_key=pin_key))
            transaction.rollback()

    @contextmanager
    def transaction(self) -> Iterator[Connection]:
        """Open a write transaction without a booking, for maintenance such as a rebuild.

        Raises:
            BookingUnknown: the answer to the commit was lost.
        """
        with self._begun() as (conn, transaction):
            keeping = kept_rows.of(conn)
            yield conn
            commit(transaction, self.place)
        if keeping is not None:
            keeping.committed()

    @contextmanager
    def _begun(self) -> Iterator[tuple[Connection, Transaction]]:
        """Begin to write, when it is the turn of this program."""
        from tracelink.store.database.write_turn import write_turn  # noqa: PLC0415

        with (
            storage_sentences(self.place),
            write_turn(self._engine.url, self.place),
            self._engine.connect() as conn,
            conn.begin() as transaction,
        ):
            take_write_lock(conn)
            yield conn, transaction

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Open a transaction that only reads one consistent state."""
        with storage_sentences(self.place), self._engine.connect() as opened:
            conn = opened.execution_options(read_only=True)
            with conn.begin():
                yield conn

    def scan(
        self,
        station: str,
        raw: str,
        at: str,
        signer: ScanSigner | None = None,
        claim: StationClaim | None = None,
    ) -> Verdict:
        """Book one live scan and return its verdict once it is durable.

        Args:
            station: its code.
            raw: the line as it came.
            at: local time.
            signer: of a station that signs its scans.
            claim: of a live station, which is to be alone at it.

        Raises:
            RefusedByRule: the station signs its scans, and there is no signer.
            StationTaken: another program is or was at the station.
        """
        from tracelink.store.stations.scan_signer import kept_in_mind  # noqa: PLC0415

        with kept_in_mind(signer), self.writing() as booking:
            last = booking.last_number(station)
            if claim is not None:
                claim.require(booking.connection, last)
            number = last + 1
            verdict = booking.book(station, RawScan(number, at, raw), signer)
            verdict = replace(verdict, panel=booking.panel(station))
        if claim is not None:
            claim.booked(number, booking.kept, booking.recorded_at)
        # Only here, after the commit, may anybody see it.
        return verdict

    def head(self) -> Head:
        """Return where the journal ends."""
        from tracelink.store.journal import journal  # noqa: PLC0415

        with self.reading() as conn:
            return journal.head(conn)

    def verify(self) -> Head:
        """Check the whole chain and return its head.

        Raises:
            BrokenChain: names the first entry that does not follow.
        """
        from tracelink.ledger.proof.chain import verify_chain  # noqa: PLC0415
        from tracelink.store.journal import journal  # noqa: PLC0415

        with self.reading() as conn:
            return verify_chain(journal.rows(conn))

    def discard_empty(self) -> None:
        """Close a ledger that was made a moment ago, and remove it if nothing was written into it."""
        empty = self.head().seq == 0
        url = self._engine.url
        self.close()
        if empty:
            _remove_made(url)

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


@contextmanager
def read_ledger(place: str) -> Iterator[Connection]:
    """Open the ledger at a place for one transaction that only reads, and close it again.

    Raises:
        LedgerError: as `Ledger.open`.
    """
    with Ledger.open(place, read_only=True) as ledger, ledger.reading() as conn:
        yield conn
