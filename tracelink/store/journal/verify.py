"""Is a ledger what its journal says, and is the journal what it was? One answer for all who ask.

`examine` reads the journal once, in order, and goes on after a fault: each entry is checked against its hash and
the one before, the tree grows beside it and is compared with the stored one and with what was kept outside,
and the entry is projected into fresh tables in a temporary file. Then the tables are compared row by row. Memory
does not grow with the ledger.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any

from sqlalchemy import Connection, select
from sqlalchemy.exc import DBAPIError

from tracelink.errors import JournalError, LedgerError, NewerJournal
from tracelink.ledger.entry import Entry
from tracelink.ledger.packs import PackedScans, spooled_hash
from tracelink.ledger.proof.chain import EMPTY, Head, InspectedEntry, inspect_chain
from tracelink.ledger.proof.kept import Comparing, KeptHead
from tracelink.ledger.proof.merkle import Frontier
from tracelink.ledger.proof.origin_check import OriginCheck
from tracelink.ledger.proof.scan_turns import ScanTurns
from tracelink.ledger.proof.scancount import ScanCount
from tracelink.ledger.recording_times import ClockLimits, RecordingTimes
from tracelink.store.database import storage_check
from tracelink.store.database.scratch import scratch_ledger
from tracelink.store.database.storage_errors import DRIVER_ERRORS
from tracelink.store.database.tables import SHADOW
from tracelink.store.database.tables_stations import SPOOL_IN_ORDER, station
from tracelink.store.journal import compare_tables, journal, subtrees, subtrees_check
from tracelink.store.journal.ahead import read_ahead
from tracelink.store.journal.examined import MOST_FAULTS, Examined
from tracelink.store.journal.last_scan_check import LastScanCheck
from tracelink.store.journal.rebuild import Replaying
from tracelink.store.journal.replay_beside import ReplayBeside, pays, replay_beside
from tracelink.store.journal.signed_check import SignedCheck
from tracelink.store.records.settings import clock_limits

Progress = Callable[[int], None]
"""Called with each sequence number reached."""

_Replay = Replaying | ReplayBeside


def verify_ledger(live: Connection, progress: Progress) -> tuple[Head, list[str]]:
    """Check the chain, the tree, and every table row against a replay of the journal.

    Args:
        live: a connection that sees one consistent state.
        progress: called with each sequence number reached.

    Returns:
        The head, and a sentence for each difference between tables or tree and journal.

    Raises:
        BrokenChain: names the first entry that does not follow.
    """
    found = examine(live, progress=progress)
    if found.broken is not None:
        raise found.broken
    return found.head, found.faults


def examine(
    live: Connection,
    kept: Iterable[KeptHead] = (),
    progress: Progress = lambda _seq: None,
    *,
    replay: bool = True,
) -> Examined:
    """Check everything, and tell all that is wrong.

    Args:
        live: a connection that sees one consistent state.
        kept: heads and checkpoints that were kept outside.
        progress: called with each sequence number reached.
        replay: also compare every table row with a replay of the journal.

    Raises:
        NewerJournal: an entry was written by a later version of the program.
    """
    kept = [*kept]
    with scratch_ledger() as fresh, fresh.begin() as target, storage_check.all_text(live):
        stored = [*storage_check.faults(live, target)]
        if replay and not stored and pays(live):
            with suppress(OSError), replay_beside() as beside:
                shown, progress = progress, _ignore
                found = _examined(live, kept, shown, beside)
                if not found.faults:
                    return found
            # What is wrong is told by one process alone, in the order in which it comes to it.
        return _examined(live, kept, progress, Replaying(target) if replay else None, stored)


def _ignore(_what: object) -> None:
    """Take what nobody asks for."""


def _examined(
    live: Connection,
    kept: Sequence[KeptHead],
    progress: Progress,
    replaying: _Replay | None,
    stored: Sequence[str] = (),
) -> Examined:
    """Look at the journal, and at the tables if it is replayed; `stored` are faults of the storage."""
    found = Examined()
    for sentence in stored:
        found.tell(sentence)
    examining = _Examining(live, found, Comparing(kept), replaying)
    examining.read_journal(progress)
    if replaying is not None:
        examining.compare_tables()
    return found


class _Examining:
    """One pass over a ledger."""

    def __init__(
        self,
        live: Connection,
        found: Examined,
        kept: Comparing,
        replaying: _Replay | None,
    ) -> None:
        self._live = live
        self._found = found
        self._kept = kept
        self._replaying = replaying
        self._seen = replaying.send if isinstance(replaying, ReplayBeside) else _ignore
        self._scans, self._turns, self._counting = ScanCount(), ScanTurns(), True
        self._last = LastScanCheck()
        self._origins: OriginCheck | None = OriginCheck()
        limits = ClockLimits()
        with self._going_on("table setting"):
            limits = clock_limits(live)
        self._times = RecordingTimes(limits)
        self._signed: SignedCheck | None = SignedCheck(live)
        self._stored = subtrees_check.StoredNodes(live)
        self._tree: Frontier | None = Frontier(completed=self._stored.completed)

    def read_journal(self, progress: Progress) -> None:
        """Check chain, raw scans, tree and what was kept, entry by entry."""
        found = self._found
        self._kept.reached(0, Frontier().root, EMPTY.hash)
        with self._going_on("journal"):
            for item in read_ahead(inspect_chain(read_ahead(journal.rows(self._live, seen=self._seen)))):
                for fault in item.faults:
                    found.broken = found.broken or fault.error
                    found.tell(fault.sentence)
                self._grow(item)
                scans = item.row.scans
                self._look_for_origin(item, scans)
                self._look_at_the_clock(item)
                self._look_at_signatures(item, scans)
                self._project(item, scans)
                found.head = Head(item.row.seq, item.row.hash)
                progress(item.row.seq)
        if self._origins is not None:
            for lack in self._origins.finish():
                found.tell(lack.sentence)
        with self._going_on("signatures of stations"):
            self._finish_signatures()
        with self._going_on("stored tree"):
            for sentence in self._stored.sentences(None if self._tree is None else self._tree.size):
                found.tell(sentence)
        found.root = None if self._tree is None else self._tree.root()
        found.agreeing = self._kept.agreeing
        for sentence in self._kept.sentences(found.head.seq):
            found.tell(sentence)

    def compare_tables(self) -> None:
        """Compare every table with the replay."""
        if self._replaying is None:
            self._found.tell("the tables could not be compared with the journal: it cannot be replayed")
            return
        with self._going_on("spool"):
            self._replaying.finish(self._spooled())
        target = self._replaying.target
        if target is None:
            return
        if self._counting:
            with self._going_on("spool"):
                self._count_scans(target)
        for table in SHADOW:
            with self._going_on(f"table {table.name}"):
                for sentence in compare_tables.differences(self._live, target, table):
                    self._found.tell(sentence)

    def _count_scans(self, target: Connection) -> None:
        """Every scan of a station must be sealed or in the spool; the replay knows the last one."""
        for code, last in target.execute(select(station.c.code, station.c.last_number)).all():
            for sentence in self._scans.sentences(code, last):
                self._found.tell(sentence)
        for sentence in (*self._scans.doubled(), *self._turns.sentences(), *self._last.sentences(self._live)):
            self._found.tell(sentence)

    def _spooled(self) -> Iterator[dict[str, Any]]:
        for row in self._live.execute(SPOOL_IN_ORDER).mappings():
            if spooled_hash(dict(row)) != row["digest"]:
                self._found.tell(
                    f"spool {row['station']} {row['number']}: this scan, not sealed yet, was changed since it was taken"
                )
            self._scans.seen(row["station"], row["number"])
            self._turns.seen(row["turn"])
            self._last.spooled(dict(row))
            yield dict(row)

    def _grow(self, item: InspectedEntry) -> None:
        if self._tree is None:
            return
        entry, missing = item.entry, item.row.seq - self._tree.size - 1
        try:
            if missing == 1 and entry is not None and not item.row.lacks:
                # The one entry that is missing is known by its hash: an entry stored with it names that.
                self._tree.add(subtrees.leaf(entry.prev))
            elif missing:
                self._tree = None
                return
            self._tree.add(subtrees.leaf(item.leaf))
        except JournalError as problem:
            self._found.tell(str(problem))
            self._tree = None
            return
        self._kept.reached(self._tree.size, self._tree.root, item.leaf)

    def _look_for_origin(self, item: InspectedEntry, scans: PackedScans) -> None:
        """Tell what an entry lacks that a rule would have left on it."""
        if self._origins is None:
            return
        if item.entry is None or item.faults or item.row.seq != self._found.head.seq + 1:
            # Who was signed on, and which scans there were, is not known any more; what is wrong is told already.
            self._origins = None
            return
        for lack in self._origins.entry(item.entry, lambda: scans.numbers):
            self._found.tell(lack.sentence)

    def _look_at_the_clock(self, item: InspectedEntry) -> None:
        for step in () if item.entry is None else self._times.entry(item.entry):
            if len(self._found.clock) < MOST_FAULTS:
                self._found.clock.append(step)
            else:
                self._found.more_clock += 1

    def _look_at_signatures(self, item: InspectedEntry, scans: PackedScans) -> None:
        if self._signed is None:
            return
        if item.entry is None or item.faults:
            # Which scans there were is not known any more; what is wrong is told already.
            self._signed = None
            return
        for sentence in self._signed.entry(item.entry, scans):
            self._found.tell(sentence)

    def _finish_signatures(self) -> None:
        if self._signed is None:
            return
        for row in self._live.execute(SPOOL_IN_ORDER).mappings():
            self._signed.waiting(dict(row))
        for sentence in self._signed.finish():
            self._found.tell(sentence)

    def _project(self, item: InspectedEntry, scans: PackedScans) -> None:
        if self._replaying is None:
            return
        if item.entry is None or item.row.seq != self._found.head.seq + 1:
            # Without an entry everything after it could come out wrong; the entry itself is told already.
            self._replaying = None
            return
        try:
            self._replaying.entry(item.entry)
            self._count_off(item, item.entry, scans)
        except JournalError as problem:
            self._found.tell(str(problem))
            self._replaying = None

    def _count_off(self, item: InspectedEntry, entry: Entry, scans: PackedScans) -> None:
        if item.faults:
            # Its scans may be gone or others; what is wrong is told, and counting would tell it again.
            self._counting = False
        if self._counting:
            self._last.entry(entry, scans)
        if self._counting and entry.stamp.station is not None:
            self._scans.seen_all(entry.stamp.station, scans.numbers)
            self._turns.seen_all(scans.turns)

    @contextmanager
    def _going_on(self, part: str) -> Iterator[None]:
        """Tell that a part cannot be read, and go on with the next."""
        try:
            yield
        except NewerJournal:
            raise
        except Exception as problem:  # noqa: BLE001  a damaged page can hold anything, and each reader stumbles in its own way
            reason = problem.orig if isinstance(problem, DBAPIError) else problem
            has_words = isinstance(problem, (DBAPIError, LedgerError, *DRIVER_ERRORS))
            said = str(reason) if has_words else repr(reason)
            self._found.tell(f"the {part} cannot be read to its end: {said}")
