"""Booking scans: read the station's state, judge, append and project, all inside one write transaction.

A `Booking` lives for one transaction. A live station books one scan in it and shows the verdict only after
the commit; a replayed log books many. The station's number of the last scan booked is written in the same
transaction, so a scan is never booked twice and a stopped replay goes on where it stopped.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.ledger.entry import Entry, Stamp
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.station import SignedOff
from tracelink.ledger.packs import RawScan, storable
from tracelink.ledger.pins import PIN_MARK
from tracelink.ledger.proof.chain import Head
from tracelink.ledger.times import require_local_time
from tracelink.station import decide, station_states
from tracelink.station.common.outcome import Act, Decision, LinePanel, Verdict, Word
from tracelink.station.common.station_facts import LastScan
from tracelink.station.undisturbed_streams import UndisturbedStreams
from tracelink.store.journal import journal
from tracelink.store.statements import kept_rows, short_reads
from tracelink.store.statements.recording_clock import recording_clock
from tracelink.store.statements.short_writes import write, write_together
from tracelink.store.stations.answers import SqlStationQueries
from tracelink.store.stations.scan_signer import ScanSigner, require_no_key
from tracelink.store.stations.station_memory import Left, Memory, OpenState
from tracelink.store.stations.unwritten_spool import UnwrittenSpool
from tracelink.store.stations.written import TURNS, Written, desk_kept, last_scan_kept

Appending = Callable[[Connection, journal.NewEntry, Head | None], tuple[Entry, Head]]
"""Writes one entry at the end of the journal, and projects it; `journal.append` is one."""


class Booking:
    """Books scans of any station inside one write transaction."""

    def __init__(
        self,
        conn: Connection,
        now: Callable[[], str],
        memory: Memory,
        *,
        queries: SqlStationQueries | None = None,
        append: Appending = journal.append,
    ) -> None:
        """Hold a connection inside a write transaction.

        Args:
            conn: the connection.
            now: the recording time, UTC in whole seconds; in a ledger on a server `utc_now` stands for the clock of that.
            memory: of the ledger that opened the transaction.
            queries: answers the stations; None for the ledger itself.
            append: writes what a scan leads to.
        """
        self._conn = conn
        self._now = recording_clock(conn, now)
        self._memory = memory
        self._append_to = append
        self._queries = queries or SqlStationQueries(conn, memory.known, memory.pin_key)
        self._states: dict[str, OpenState] = {}
        self._head: Head | None = None
        self.recorded_at = ""  # of the last scan that was judged, UTC; empty if none was
        self._turns: int | None = None
        self._unsigned: set[str] = set()
        self._kept: tuple[RawScan, bool] | None = None
        self._booked: set[str] = set()
        self._unwritten = UnwrittenSpool(conn, self._queries)
        self._streams = UndisturbedStreams()
        self._go_on()

    def _go_on(self) -> None:
        """Begin with what the transaction before left, if the ledger is as it left it."""
        left, keeping = self._memory.left, kept_rows.of(self._conn)
        self._memory.left = None
        if keeping is not None:
            self._head, self._turns = keeping.head, keeping.turns
        if left is None or keeping is not left.keeping or not keeping.same or keeping.changes != left.changes:
            return
        self._states, self._head, self._turns = left.states, left.head, left.turns
        self._queries.since_entry, self._queries.read_last = left.since_entry, left.read_last

    @property
    def queries(self) -> SqlStationQueries:
        """The ledger as the rules see it, inside this transaction."""
        return self._queries

    @property
    def connection(self) -> Connection:
        """The connection of the transaction, for reading what it is about to change."""
        return self._conn

    @property
    def turns(self) -> int:
        """How many scans were booked at all stations, which is the turn of the last one."""
        if self._turns is None:
            self._turns = int(short_reads.first(self._conn, TURNS, {}).turns or 0)
        return self._turns

    def last_number(self, code: str) -> int:
        """Return the number of the last scan booked at a station; 0 if there was none."""
        return self._open(code).last_number

    def area(self, code: str) -> str:
        """Return the work area of a station."""
        return self._open(code).area

    def book(self, code: str, scan: RawScan, signer: ScanSigner | None = None) -> Verdict:
        """Judge and book one scan.

        Args:
            code: the station.
            scan: numbered one more than the last scan booked there.
            signer: of a station that signs its scans.

        Raises:
            UsageError: the station is unknown, or a scan is missing before this one.
            RefusedByRule: the station signs its scans, and there is no signer.
            InvalidFormat: the scan's time is not local time with its offset.
        """
        if self._head is None:
            self._head = journal.head(self._conn)
        if signer is None and code not in self._unsigned:
            require_no_key(self._conn, code)
            self._unsigned.add(code)
        at, raw = require_local_time(scan.at), storable(scan.raw)
        verdict = self.book_again(code, RawScan(scan.number, at, raw, self.turns + 1, self._head.seq))
        if signer is not None and self._kept is not None:
            signer.took(self._conn, self._kept[0], acted=self._kept[1])
        return verdict

    def ask(self, code: str, scan: RawScan) -> tuple[Verdict, str]:
        """Book a scan without a signature into a copy that is never kept; also returns the line as it may be kept."""
        self._unsigned.add(code)
        return self.book(code, scan), self.kept

    @property
    def kept(self) -> str:
        """The line of the last scan as it is kept: not as it came where it is, or may be, a PIN."""
        return "" if self._kept is None else self._kept[0].raw

    def panel(self, code: str) -> LinePanel | None:
        """Return what a packing line shows beside its verdict, after the last scan."""
        return decide.panel_at(self._settle(code).state, code, self._queries)

    def book_again(self, code: str, scan: RawScan) -> Verdict:
        """Judge and book a scan as it was taken before, with the turn that it has.

        Args:
            code: the station.
            scan: as for `book`, from the records.

        Raises:
            UsageError: the station is unknown, or a scan is missing before this one.
        """
        opened = self._open(code)
        if scan.number != opened.last_number + 1:
            raise UsageError(
                f"station {code}: expected scan {opened.last_number + 1}, found scan {scan.number}; "
                "the log is cut or out of order, and nothing of it was booked from here on"
            )
        decision = self.judged(code, scan)
        if decision.secret:
            # Raw scans are kept as they came, but for this: a PIN is kept nowhere.
            scan = replace(scan, raw=PIN_MARK)
        self._write(code, opened, scan, decision)
        bodies = [act.body for act in decision.acts]
        opened.state = decide.after(opened.state, bodies, decision.spooled, scan.at)
        opened.last_number = scan.number
        self._booked.add(code)
        if bodies and opened.area == "line":
            # Other lines ask which spindles are open here, in this transaction too: many scans of a log share one.
            write(self._conn, *desk_kept(code, opened.last_number, station_states.write_state(opened.state)))
        self._queries.read_last[code] = LastScan(scan.raw, scan.at, decision.verdict.finding is not None)
        self._kept = (scan, bool(decision.acts))
        self._turns = self.turns + 1
        return replace(decision.verdict, hides=True) if opened.state.pin else decision.verdict

    def go_on(self, code: str, scan: RawScan) -> Word | None:
        """Book a scan that goes on with a steady stream, unjudged; return what it comes to, None if it has to be judged."""
        if self._head is None:
            return None
        turn = self.turns + 1
        taken = self._streams.take(code, RawScan(scan.number, scan.at, scan.raw, turn, self._head.seq))
        if taken is None:
            return None
        self._unwritten.put(code, *taken)
        self._states[code].last_number, self._turns, self._kept = scan.number, turn, (taken[0], False)
        return Word.NEXT if "disc" in taken[1].fact else Word.MATCH

    def begin_stream(self, code: str, coming: str) -> None:
        """Let a steady stream begin at a station, if its `coming` line begins the unit again that it just finished."""
        unit, head = self._unwritten.unit(code), self._head
        if unit is None or head is None or (unit.last.turn, unit.last.after) != (self._turns, head.seq):
            return
        self._queries.at = unit.last.at
        self._streams.begin(code, self._states[code].state, unit, coming, self._queries)

    def _settle(self, code: str) -> OpenState:
        """Return a station as if each scan of its stream had been judged, and end that."""
        opened = self._open(code)
        stream = self._streams.taken_back(code)
        if stream is not None:
            opened.state = stream.state_after(opened.state)
            self._queries.read_last[code] = stream.last_scan
        return opened

    def record(
        self, body: EntryBody, stamp: Stamp, reason: str | None = None, scans: Sequence[RawScan] = ()
    ) -> None:
        """Append an act that no scan led to, such as a hold placed by command; `scans` is what it was read from."""
        self._write_entry(journal.NewEntry(body, stamp, reason, scans=scans))

    def _write_entry(self, written: journal.NewEntry) -> None:
        entry, self._head = self._append_to(self._conn, written, self._head)
        self._queries.entry_written()
        self._streams.entry_written(lambda: written.body.changes(entry))

    @contextmanager
    def attempt(self) -> Iterator[None]:
        """Undo what the block recorded if it raises, so that others can be tried after it."""
        head = self._head
        self._unwritten.write()
        try:
            with self._conn.begin_nested():
                yield
        except BaseException:
            self._head = head
            self._queries.entry_written()
            self._streams.end()
            raise

    def judged(self, code: str, scan: RawScan) -> Decision:
        """Return what a scan would lead to, and book nothing."""
        opened = self._settle(code)
        # What was set up is asked for as it held when this happened, not as it holds when it is booked.
        self._queries.at = scan.at
        # One time for judging and recording: judged again by the time of the entry it must come to the same.
        self.recorded_at = self._queries.recording = self._now()
        return decide.decide(opened.area, opened.state, code, scan, self._queries)

    def keep(self) -> None:
        """Write back spool, desks and what each station read last; call once before the transaction is committed."""
        writes = self._unwritten.taken()
        for code in sorted(self._booked):
            opened = self._settle(code)
            last = self._queries.read_last[code]
            self._memory.states[code] = (desk := station_states.write_state(opened.state), opened.state)
            writes.append(desk_kept(code, opened.last_number, desk))
            writes.append(last_scan_kept(code, opened.last_number, last))
        write_together(self._conn, writes)
        keeping = kept_rows.of(self._conn)
        if keeping is not None:
            keeping.leaves(self._head, self._turns)
            stations = (self._states, self._head, self._turns)
            answers = (self._queries.read_last, self._queries.since_entry)
            self._memory.left = Left(keeping, keeping.changes, *stations, *answers)

    @property
    def written(self) -> Written:
        """What this transaction leaves behind, for finding it again if nobody knows whether it was committed."""
        read_last = self._queries.read_last
        scans = {code: (self._states[code].last_number, read_last[code].at) for code in self._booked}
        return Written(self._head, scans)

    def _open(self, code: str) -> OpenState:
        if code not in self._states:
            self._states[code] = self._memory.opened(self._conn, code)
        return self._states[code]

    def _write(self, code: str, opened: OpenState, scan: RawScan, decision: Decision) -> None:
        if decision.acts:
            self._append(code, opened, scan, decision)
        if decision.spooled is not None:
            self._unwritten.put(code, scan, decision.spooled)
            self._streams.end((decision.spooled.spindle,))

    def _append(self, code: str, opened: OpenState, scan: RawScan, decision: Decision) -> None:
        waiting = self._unwritten.of_station(code)
        person = getattr(opened.state, "person", None)
        last = len(decision.acts) - 1
        for place, act in enumerate(decision.acts):
            taken = waiting if act.takes is None else waiting[: act.takes]
            waiting = waiting[len(taken) :]
            if taken:
                self._unwritten.sealed(code, taken[-1].number)
            own = place == last and decision.spooled is None
            self._append_one(code, scan, act, person, [*taken, scan] if own else taken)
            if isinstance(act.body, SignedOff):
                # What the same scan leads to further is nobody's.
                person = None

    def _append_one(self, code: str, scan: RawScan, act: Act, person: str | None, raw: list[RawScan]) -> None:
        stamp = Stamp(scan.at, self.recorded_at, code, scan.number, person)
        self._write_entry(journal.NewEntry(act.body, stamp, act.reason, act.corrects, raw))
