"""Entries of a synthetic plant, written in bulk.

They go through the same canonical bytes, hash chain, packs and projections as everywhere else; only the rows of
one lot are gathered before they are written, because ten million discs one statement at a time take hours.
"""

from collections.abc import Sequence
from dataclasses import fields
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

from sqlalchemy import Connection, select

from tracelink.identity.rawlines import raw_act, raw_plant, raw_sscc
from tracelink.ledger.changes import Delete, Increase, Insert
from tracelink.ledger.codec import to_body
from tracelink.ledger.entry import Entry, Stamp, entry_hash
from tracelink.ledger.entry_tally import EntryBlocks, EntryTally
from tracelink.ledger.kinds.station import SignedOn
from tracelink.ledger.packs import RawScan, pack_hash, pack_scans
from tracelink.station import station_states
from tracelink.store.compact.entry_form import stored_form
from tracelink.store.compact.pack_form import stored_pack
from tracelink.store.compact.stored_rows import actors_said
from tracelink.store.database.columns import metadata
from tracelink.store.database.tables_stations import station
from tracelink.store.journal import journal
from tracelink.store.journal.projection import carry_out
from tracelink.store.journal.tables_tally import entry_block, entry_count, odd_time
from tracelink.store.records.entry_stamps import entry_times

BEGAN = datetime(2031, 3, 3, 9, 0, 0, tzinfo=UTC)
"""When the first act happened."""
_HERE = timezone(timedelta(hours=1))
_PAUSES = (2, 3, 2, 4, 3, 2, 5, 3)
"""Seconds from one scan to the next, over and over: times that differ as those of people do."""
_PLANT_CODE, _SSCC = 8, 18
"""Characters."""


class Bulk:
    """Writes entries and their rows, a lot at a time.

    Args:
        conn: a connection inside a write transaction.
        keeps_journal: False writes the tables only, for plants too large to chain in a sitting.
    """

    def __init__(self, conn: Connection, *, keeps_journal: bool) -> None:
        self._conn = conn
        self._keeps_journal = keeps_journal
        self._head = journal.head(conn)
        self._pending: dict[str, dict[tuple[Any, ...], dict[str, Any]]] = {}
        self._chain: list[dict[str, Any]] = []
        self._packs: list[dict[str, Any]] = []
        self._keys = {
            name: [column.name for column in table.primary_key] for name, table in metadata.tables.items()
        }
        self._moment = BEGAN
        self._turn = 0
        self._numbers: dict[str, int] = {}
        self._signed_on: dict[str, str] = {}
        self._states = {
            row.code: station_states.empty_state(row.area)
            for row in conn.execute(select(station.c.code, station.c.area))
        }

    def scanned(self, place: str, raws: Sequence[str]) -> list[RawScan]:
        """Scan lines at a station, one after the other."""
        return [self._scan(place, raw) for raw in raws]

    def _scan(self, place: str, raw: str) -> RawScan:
        self._turn += 1
        self._moment += timedelta(seconds=_PAUSES[self._turn % len(_PAUSES)])
        number = self._numbers[place] = self._numbers.get(place, 0) + 1
        return RawScan(number, self._local(), raw, self._turn, self._head.seq)

    def _local(self) -> str:
        return self._moment.astimezone(_HERE).isoformat()

    def sign_on(self, body: SignedOn, place: str) -> None:
        """Sign a person on, who then stands in every entry of the station."""
        self.write(body, place)
        self._signed_on[place] = body.person

    def write(self, body: Any, place: str | None = None, reason: str | None = None) -> None:
        """Write an act: that of a station has the scan that led to it beside it."""
        scans = self.scanned(place, [_line_of(body)]) if place else []
        self._write(body, place, scans, reason)

    def seal(self, body: Any, place: str, scans: Sequence[RawScan]) -> None:
        """Write an entry of a station that seals scans."""
        self._write(body, place, scans, None)

    def _write(self, body: Any, place: str | None, scans: Sequence[RawScan], reason: str | None) -> None:
        pack = pack_scans(scans) if scans and self._keeps_journal else None
        recorded = self._moment.strftime("%Y-%m-%dT%H:%M:%SZ")
        number = scans[-1].number if scans else None
        person = None if place is None else self._signed_on.get(place)
        entry = Entry(
            seq=self._head.seq + 1,
            stamp=Stamp(self._local(), recorded, place, number, person),
            kind=body.kind,
            body=to_body(body) if self._keeps_journal else {},
            prev=self._head.hash,
            reason=reason,
            scans=None if pack is None else pack_hash(pack),
        )
        digest = self._head.hash
        if self._keeps_journal:
            canonical = entry.canonical()
            digest = entry_hash(canonical)
            values = {"seq": entry.seq, "hash": bytes.fromhex(digest), "kind": entry.kind}
            self._chain.append({**values, "stored": stored_form(canonical)})
        if pack is not None:
            self._packs.append({"seq": entry.seq, "packed": stored_pack(pack, entry.seq)})
        self._head = type(self._head)(entry.seq, digest)
        for change in body.changes(entry):
            self._apply(change)
        if place is not None:
            self._states[place] = station_states.evolve(self._states[place], body)

    def _apply(self, change: Any) -> None:
        if isinstance(change, Delete):
            raise TypeError("this plant takes nothing back")
        waiting = self._pending.setdefault(change.table, {})
        if isinstance(change, Insert):
            row = dict(change.row)
            waiting[tuple(row[name] for name in self._keys[change.table])] = row
            return
        place = tuple(change.key[name] for name in self._keys[change.table])
        if isinstance(change, Increase):
            row = waiting.setdefault(place, {**change.key, change.column: 0})
            row[change.column] += change.by
        else:
            waiting[place].update(change.values)

    def flush(self) -> None:
        """Write the rows that wait, parents first."""
        if self._chain:
            self._conn.execute(journal.journal.insert(), self._chain)
        if self._packs:
            self._conn.execute(journal.journal_pack.insert(), self._packs)
        for table in metadata.sorted_tables:
            rows = list(self._pending.get(table.name, {}).values())
            if rows:
                self._conn.execute(table.insert(), rows)
        for code, number in self._numbers.items():
            values = {"last_number": number, "desk": station_states.write_state(self._states[code])}
            self._conn.execute(station.update().where(station.c.code == code).values(values))
        self._chain, self._packs, self._pending = [], [], {}


def tally_anew(conn: Connection) -> None:
    """Make the tally of the journal anew, in the transaction of `conn`."""
    tally = EntryTally()
    for each in entry_times(conn):
        tally.entry(*each)
    blocks = EntryBlocks()
    for seq, kind, stored in conn.execute(select(journal.journal.c["seq", "kind", "stored"])):
        blocks.entry(seq, kind, *actors_said(stored))
    for kept in (entry_count, odd_time, entry_block):
        conn.execute(kept.delete())
    carry_out(conn, [*tally.rows(), *blocks.rows()])


def _line_of(body: Any) -> str:
    """The line that leads to an act: the code that it is about, or its card where it is about none."""
    first = getattr(body, fields(body)[0].name)
    if isinstance(first, str) and first.isdigit() and len(first) == _SSCC:
        return raw_sscc(first)
    if isinstance(first, str) and first[:1].isalpha() and len(first) >= _PLANT_CODE:
        return raw_plant(first)
    return raw_act("STACK")
