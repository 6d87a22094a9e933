"""Judging a whole journal again: its raw scans and commands are booked anew into an empty ledger, and entries compared.

Theory of operation
-------------------
Scans are taken in their turns, each as the station took it then, and judged by the same pure stations with the answers of
the ledger as it was at that moment. What a scan leads to must be the next entry of the journal, field by field and down
to the hash of its raw scans. Entries of commands stand between: each scan says after which entry it was booked, so
that commands are carried out in their place, as they are recorded. The first entry that no scan forces ends it: what
comes after may follow from it.

Of every entry the recorded one is written into the empty ledger, so that hashes agree, and words that a newer program
would put otherwise change nothing that follows.

Scans of older programs have no turn. What they led to is projected as recorded; where some of them waited unsealed when
the first turn was given, they are judged station by station, because before their acts they changed nothing.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, bindparam, select
from sqlalchemy.exc import IntegrityError

from tracelink.errors import JournalError, LedgerError, UsageError
from tracelink.ledger.codec import to_body
from tracelink.ledger.entry import Entry, read_entry
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.registry import read_body
from tracelink.ledger.packs import RawScan, pack_hash, pack_scans
from tracelink.ledger.proof.chain import Head, JournalRow
from tracelink.ledger.proof.judged import (
    Differing,
    JudgedAgain,
    Unforced,
    Why,
    differing,
    scan_words,
)
from tracelink.station import decide
from tracelink.store.database.scratch import scratch_ledger
from tracelink.store.database.tables_stations import spool
from tracelink.store.database.tables_stations import station as station_table
from tracelink.store.journal import compare_tables, journal, rebuild
from tracelink.store.journal.projection import carry_out
from tracelink.store.statements import kept_rows
from tracelink.store.stations.again.booking_again import BookingAgain, RecordedEntries
from tracelink.store.stations.keyed_again import KeyedQueries, meanings
from tracelink.store.stations.station_memory import Memory
from tracelink.store.stations.taken_scans import TakenScan, TakenScans
from tracelink.store.stations.unwritten_spool import spool_row

_AREA = select(station_table.c.area).where(station_table.c.code == bindparam("code"))

_NEVER = "0001-01-01T00:00:00Z"
"""Recording time of what no entry follows."""

Progress = Callable[[int], None]
"""Called with each sequence number reached."""


class _Stopped(Exception):  # noqa: N818  it is a result, caught in this module
    """The journal does not follow from its scans here."""

    def __init__(self, unforced: Unforced) -> None:
        self.unforced = unforced
        super().__init__(unforced.sentence)


def judge_again(live: Connection, progress: Progress = lambda _seq: None) -> JudgedAgain:
    """Judge the journal again.

    Args:
        live: a connection that sees one state, of a journal of which the chain holds.
        progress: called with each sequence number reached.
    """
    with scratch_ledger() as fresh, fresh.begin() as target:
        judging = _Judging(live, target, progress)
        try:
            judging.run()
        except _Stopped as stopped:
            judging.done.unforced = stopped.unforced
            judging.done.left = judging.left()
        return judging.done


class _Judging:
    """One pass over the scans and commands of a ledger."""

    def __init__(self, live: Connection, target: Connection, progress: Progress) -> None:
        self._live = live
        self._target = target
        self._progress = progress
        self._recorded = RecordedEntries(journal.rows(live))
        self._scans = TakenScans(target)
        self._queries = KeyedQueries(target)
        self._booking = BookingAgain(
            target, self._recorded_next, Memory(), queries=self._queries, append=self._append
        )
        self._booking.recorded = self._recorded
        self._head = Head(0, "")
        self._turn: int | None = None
        self._last = "no scan"
        self.done = JudgedAgain()

    def run(self) -> None:
        """Judge all of it.

        Raises:
            _Stopped: at the first thing that no scan forces.
        """
        for row in journal.rows(self._live):
            station = read_entry(row.canonical).stamp.station
            if station is not None and row.pack is not None:
                self._scans.packed(row, station)
        self._scans.waiting(self._live)
        self._older(self._scans.first_after())
        for taken in self._scans.in_turn():
            self._require_turn(taken)
            self._commands(taken.scan.after)
            self._scan(taken)
        self._commands(None)
        kept_rows.spool_is_asked(self._target)
        for sentence in compare_tables.differences(self._live, self._target, spool):
            raise _Stopped(Unforced(Why.WAITING, None, None, self._last, found=sentence))

    def left(self) -> int:
        """Return how many entries were not looked at."""
        return max(0, journal.head(self._live).seq - self._head.seq - 1)

    def _older(self, after: int | None) -> None:
        """Project what was recorded before the first turn was given, all of it if none was."""
        replaying = rebuild.Replaying(self._target)
        while self._recorded.ahead(1) and (after is None or self._head.seq < after):
            row, entry = self._recorded.take()
            if entry.stamp.station is None:
                self.done.given += 1
            else:
                self.done.not_judged += 1
            self._keep(row, entry)
            with _telling(entry):
                replaying.entry(entry)
        replaying.finish(self._that_waited(replaying, self._head.seq))

    def _that_waited(self, replaying: rebuild.Replaying, after: int) -> Iterator[dict[str, Any]]:
        """Yield how the scans without turn that waited then lie in the spool."""
        for taken in self._scans.that_waited(after):
            # Not through the booking: it would remember what the station has in hand before all of it is there.
            area = str(self._target.execute(_AREA, {"code": taken.station}).scalar_one())
            state = replaying.state(taken.station)
            self._queries.at = taken.scan.at
            decision = decide.decide(area, state, taken.station, taken.scan, self._queries)
            if decision.acts or decision.spooled is None:
                raise _Stopped(Unforced(Why.OLDER, None, None, scan_words(taken.station, taken.scan)))
            row = spool_row(taken.station, taken.scan, decision.spooled)
            self._target.execute(spool.insert(), row)
            yield row

    def _require_turn(self, taken: TakenScan) -> None:
        """Turns go up by one; where the first was given, scans of an older program came before it."""
        turn, before = taken.scan.turn, self._turn
        said = scan_words(taken.station, taken.scan)
        if before is not None and turn == before:
            raise _Stopped(Unforced(Why.TURN_TWICE, None, None, said, str(turn)))
        expected = self._booking.turns + 1
        if turn != expected:
            raise _Stopped(Unforced(Why.TURN_MISSING, None, None, said, str(expected)))
        self._turn = turn

    def _commands(self, after: int | None) -> None:
        """Carry out what people did by command, up to an entry or to the end."""
        while (after is None or self._head.seq < after) and self._recorded.ahead(1):
            entry = self._recorded.ahead(1)[0]
            if entry.stamp.station is not None:
                raise _Stopped(Unforced(Why.NO_SCAN, entry.seq, entry.kind, self._last))
            self._write(*self._recorded.take())
            self._queries.look_again()
            self.done.given += 1

    def _scan(self, taken: TakenScan) -> None:
        station, scan = taken.station, taken.scan
        self._last = scan_words(station, scan)
        if scan.after != self._head.seq:
            raise _Stopped(Unforced(Why.PLACE, None, None, self._last, str(self._head.seq), str(scan.after)))
        ahead = self._recorded.ahead(1)
        try:
            self._booking.book_again(station, self._meant(station, scan))
        except UsageError as problem:
            raise _Stopped(Unforced(Why.NUMBER, None, None, self._last, found=str(problem))) from None
        except (_Stopped, JournalError):
            raise
        except Exception as problem:  # a forged scan or entry may be anything
            entry = ahead[0] if ahead else None
            seq, kind = (None, None) if entry is None else (entry.seq, entry.kind)
            raise _Stopped(Unforced(Why.BEYOND, seq, kind, self._last, found=repr(problem))) from problem
        self.done.scans += 1
        self.done.by_earlier_rules += self._booking.explained

    def _meant(self, station: str, scan: RawScan) -> RawScan:
        """Return the scan; of a PIN, of which no record keeps the digits, one that leads to what is recorded."""
        for key_there, raw in meanings(scan, self._queries):
            self._queries.key_there = key_there
            meant = replace(scan, raw=raw)
            bodies = [act.body for act in self._booking.judged(station, meant).acts]
            if bodies and self._lead_to(bodies):
                return meant
        self._queries.key_there = True
        return scan

    def _lead_to(self, bodies: list[EntryBody]) -> bool:
        ahead = self._recorded.ahead(len(bodies))
        return [entry.kind for entry in ahead] == [body.kind for body in bodies] and not any(
            not one.is_wording
            for entry, body in zip(ahead, bodies, strict=True)
            for one in differing(entry, replace(entry, body=to_body(body)))
        )

    def _append(self, _conn: Connection, forced: journal.NewEntry, _last: Head | None) -> tuple[Entry, Head]:
        """Compare what a scan leads to with the next entry, and write that."""
        seq, ahead = self._head.seq + 1, self._recorded.ahead(1)
        if not ahead or ahead[0].stamp.station is None:
            found = f"a {ahead[0].kind} of a command" if ahead else "nothing"
            raise _Stopped(Unforced(Why.MISSING, seq, forced.body.kind, self._last, found=found))
        entry = ahead[0]
        if entry.kind != forced.body.kind:
            raise _Stopped(Unforced(Why.OTHER, seq, entry.kind, self._last, f"a {forced.body.kind}"))
        found_fields = list(differing(entry, _as_recorded(forced, entry)))
        for one in found_fields:
            if not one.is_wording:
                raise _Stopped(self._unlike(entry, one))
        self.done.reworded += bool(found_fields)
        self.done.forced += 1
        self._write(*self._recorded.take())
        return entry, self._head

    def _recorded_next(self) -> str:
        """Return when the next entry was recorded, by which a station that waits for a PIN goes."""
        ahead = self._recorded.ahead(1)
        return ahead[0].stamp.recorded_at if ahead else _NEVER

    def _unlike(self, entry: Entry, one: Differing) -> Unforced:
        return Unforced(Why.FIELD, entry.seq, entry.kind, self._last, one.expected, one.found)

    def _write(self, row: JournalRow, entry: Entry) -> None:
        self._keep(row, entry)
        with _telling(entry):
            carry_out(self._target, read_body(entry).changes(entry))

    def _keep(self, row: JournalRow, entry: Entry) -> None:
        # The raw scans are not needed there again.
        journal.store(self._target, replace(row, kind=entry.kind, pack=None))
        self._head = Head(row.seq, row.hash)
        self._progress(row.seq)


def _as_recorded(forced: journal.NewEntry, entry: Entry) -> Entry:
    """Return what a scan leads to as an entry, with what is given: its place, and when it was recorded."""
    return Entry(
        seq=entry.seq,
        stamp=replace(forced.stamp, recorded_at=entry.stamp.recorded_at),
        kind=forced.body.kind,
        body=to_body(forced.body),
        prev=entry.prev,
        reason=forced.reason,
        corrects=forced.corrects,
        scans=pack_hash(pack_scans(forced.scans)) if forced.scans else None,
    )


@contextmanager
def _telling(entry: Entry) -> Iterator[None]:
    """Stop at an entry that cannot be projected, and say why."""
    try:
        yield
    except (IntegrityError, LedgerError) as problem:
        reason = problem.orig if isinstance(problem, IntegrityError) else problem
        raise _Stopped(Unforced(Why.BEYOND, entry.seq, entry.kind, "", found=str(reason))) from problem
