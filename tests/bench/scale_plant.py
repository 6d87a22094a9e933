"""A plant of any size for the containment benchmark: the entries its stations would have written, in bulk.

Invented, with the proportions of the trade: lots of 1,000 discs, a stamper pair for 1,000 strokes that outlives
the lot it began in, ten stampers to a mother, ten mothers to a father, a father to a lacquer, stacks of 200 from which two discs are
thrown out unrecorded, cartons of 25 filled from the stacks, a pallet a lot, a shipment a pallet.

Entries go through the same canonical bytes, hash chain, packs and projections as everywhere else; only the rows of
one lot are gathered before they are written, because ten million discs one statement at a time take hours.
"""

import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection
from support_plant import code, gtin, raw_disc, raw_sleeve

from tracelink.identity.gs1.sscc import Sscc
from tracelink.ledger.changes import Delete, Increase, Insert
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.codec import to_body
from tracelink.ledger.entry import Entry, Stamp, entry_hash
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.dock import (
    CartonPalletised,
    PalletAccepted,
    PalletClosed,
    PalletLoaded,
    PalletOpened,
    ShipmentDeparted,
    ShipmentOpened,
)
from tracelink.ledger.kinds.lab import LotDecided, SampleDrawn, SampleJudged
from tracelink.ledger.kinds.line import CartonClosed, CartonOpened, DiscsSleeved, SpindleOpened
from tracelink.ledger.kinds.orders import OrderTaken
from tracelink.ledger.kinds.press import (
    DiscsScrapped,
    Mounted,
    PressSetUp,
    PressStarted,
    PressStopped,
    Reading,
    RunChanged,
    StackTaken,
)
from tracelink.ledger.kinds.setup import LotPlanned, MaterialReceived, SleevesReceived
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown
from tracelink.ledger.packs import RawScan, pack_hash, pack_scans
from tracelink.store.database.columns import metadata
from tracelink.store.journal import journal

LOT = 1000
STACK = 200
CARTON = 25
THROWN = 2
CHANGE = 600
"""Strokes of a lot that are still pressed with the stamper pair of the lot before."""
AT = "2031-03-03T10:00:00+01:00"
PRESS, LINE, DOCK, LAB = code("W", 2), code("W", 4), code("W", 5), code("W", 3)
_SCANNED = (raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1)))
_FATHERS = 100
"""Stampers grown below one father."""


def stamper(lot: int, side: int) -> str:
    """The stamper of a side (0 is A) that was mounted in lot `lot`, counted from 0."""
    return code("T", 100_000 + 400_000 * side + lot)


def mother(lot: int, side: int) -> str:
    return code("T", 50_000 + 20_000 * side + lot // 10)


def father(lot: int, side: int) -> str:
    return code("T", 30_000 + 5_000 * side + lot // _FATHERS)


def lacquer(lot: int, side: int) -> str:
    return code("T", 20_000 + 5_000 * side + lot // _FATHERS)


def compound(lot: int) -> str:
    return code("C", 1000 + lot // 8)


def carton(number: int) -> str:
    """The carton of that number, counted from 0 over all lots."""
    return _sscc("0", number + 1)


def batch() -> str:
    return code("B", 900)


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

    def write(self, body: Any, station: str | None = None, scans: Sequence[RawScan] = ()) -> None:
        """Write one entry: into the chain, if that is kept, and into the rows that wait."""
        pack = pack_scans(scans) if scans and self._keeps_journal else None
        entry = Entry(
            seq=self._head.seq + 1,
            stamp=Stamp(AT, "2031-03-03T09:00:00Z", station),
            kind=body.kind,
            body=to_body(body) if self._keeps_journal else {},
            prev=self._head.hash,
            scans=None if pack is None else pack_hash(pack),
        )
        digest = self._head.hash
        if self._keeps_journal:
            canonical = entry.canonical()
            digest = entry_hash(canonical)
            self._chain.append({"seq": entry.seq, "hash": digest, "kind": entry.kind, "canonical": canonical})
        if pack is not None:
            self._packs.append({"seq": entry.seq, "packed": zlib.compress(pack, 6)})
        self._head = type(self._head)(entry.seq, digest)
        for change in body.changes(entry):
            self._apply(change)

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
            rows = [
                row
                for row in self._pending.get(table.name, {}).values()
                if table.name != "stock" or row["quantity"]
            ]
            if rows:
                self._conn.execute(table.insert(), rows)
        self._chain, self._packs, self._pending = [], [], {}


@dataclass(slots=True)
class _Line:
    """What the packing line has in hand."""

    carton: int = 0
    """Cartons used so far, over all lots."""
    scan: int = 0


def fill(conn: Connection, discs: int, *, keeps_journal: bool) -> Iterator[int]:
    """Write a plant that has pressed `discs` discs; yields the discs written after each lot."""
    bulk = Bulk(conn, keeps_journal=keeps_journal)
    line = _Line()
    bulk.write(SleevesReceived(batch(), gtin(1), discs, None, None, superseded=False))
    for number in range(discs // LOT):
        _grow(bulk, number)
        _press(bulk, number)
        _pack(bulk, number, line)
        bulk.flush()
        yield (number + 1) * LOT


def _grow(bulk: Bulk, lot: int) -> None:
    for side, letter in enumerate("AB"):
        if lot % _FATHERS == 0:
            bulk.write(MasterRegistered(lacquer(lot, side), "lacquer", letter, f"EX-101-{letter}"))
            bulk.write(ToolGrown(father(lot, side), "father", lacquer(lot, side), letter, f"EX-101-{letter}"))
        if lot % 10 == 0:
            bulk.write(ToolGrown(mother(lot, side), "mother", father(lot, side), letter, f"EX-101-{letter}"))
        bulk.write(ToolGrown(stamper(lot, side), "stamper", mother(lot, side), letter, f"EX-101-{letter}"))
    if lot % 8 == 0:
        bulk.write(MaterialReceived(compound(lot), "compound", "black", None, None, None))


def _mounted(lot: int, pair: int, life: int) -> Mounted:
    return Mounted(
        PRESS, stamper(pair, 0), stamper(pair, 1), life, life, compound(lot), code("E", 1), code("E", 2)
    )


def _press(bulk: Bulk, number: int) -> None:
    lot = code("L", 1000 + number)
    before = max(0, number - 1)
    bulk.write(LotPlanned(lot, gtin(1), 1, LOT))
    bulk.write(PressSetUp(lot, _mounted(number, before, LOT - CHANGE)), PRESS)
    bulk.write(PressStarted(lot, "EX-101-A", "EX-101-B"), PRESS)
    counter, segment = 0, 1
    for stack in range(LOT // STACK):
        first, last = stack * STACK + 1, (stack + 1) * STACK
        if stack == 0:
            reading = Reading(lot, segment, counter, 1)
            bulk.write(SampleDrawn(code("S", 2 * number + 1), 1, reading, _one(lot, 2 * number + 1, 1)), LAB)
            counter, first = 1, 2
        if last == LOT:
            last -= 1
        moved = Moved(lot, last - first + 1, DiscPlace.COUNTER, _card(number, stack), first, last)
        bulk.write(StackTaken(moved.target, Reading(lot, segment, counter, last), (moved,)), PRESS)
        bulk.write(DiscsScrapped(Moved(lot, THROWN, moved.target, DiscPlace.SCRAP, None, None)), PRESS)
        counter = last
        if last == CHANGE:
            segment = CHANGE + 1
            bulk.write(RunChanged(Reading(lot, 1, CHANGE, CHANGE), _mounted(number, number, 0)), PRESS)
    tag = 2 * number + 2
    bulk.write(
        SampleDrawn(code("S", tag), LOT, Reading(lot, segment, counter, LOT), _one(lot, tag, LOT)), LAB
    )
    bulk.write(PressStopped(Reading(lot, segment, LOT, LOT)), PRESS)
    bulk.write(SampleJudged(code("S", tag - 1), good=True, defect=None), LAB)
    bulk.write(
        SampleJudged(code("S", tag), good=number % 7 != 3, defect=None if number % 7 != 3 else "tick"), LAB
    )
    bulk.write(LotDecided(lot, "released", None), LAB)


def _card(lot: int, stack: int) -> str:
    return code("K", lot * (LOT // STACK) + stack + 1)


def _one(lot: str, tag: int, stroke: int) -> Moved:
    return Moved(lot, 1, DiscPlace.COUNTER, code("S", tag), stroke, stroke)


def _pack(bulk: Bulk, number: int, line: _Line) -> None:
    lot, pallet, shipment = code("L", 1000 + number), _sscc("1", number + 1), code("D", number + 1)
    order = f"PO-{number // 10:06d}"
    if number % 10 == 0:
        bulk.write(OrderTaken(order, f"Consignee {number // 10 % 500}", "XX", gtin(1), 10 * LOT))
    bulk.write(PalletOpened(pallet), DOCK)
    cartons: list[str] = []
    units = 0
    for stack in range(LOT // STACK):
        left = STACK - THROWN - (stack in (0, LOT // STACK - 1))
        card = _card(number, stack)
        bulk.write(SpindleOpened(card, lot, 1), LINE)
        while left:
            if units == 0:
                line.carton += 1
                cartons.append(_sscc("0", line.carton))
                bulk.write(CartonOpened(cartons[-1], gtin(1)), LINE)
            taken = min(left, CARTON - units)
            bulk.write(
                _run(cartons[-1], Moved(lot, taken, card, cartons[-1], None, None)), LINE, _scans(line, taken)
            )
            left -= taken
            units = (units + taken) % CARTON
            if units == 0:
                _close(bulk, cartons[-1], CARTON, pallet)
    if units:
        _close(bulk, cartons[-1], units, pallet)
    bulk.write(PalletClosed(pallet, len(cartons)), DOCK)
    bulk.write(PalletAccepted(pallet, (lot,)), DOCK)
    bulk.write(ShipmentOpened(shipment, order), DOCK)
    bulk.write(PalletLoaded(pallet, shipment), DOCK)
    bulk.write(ShipmentDeparted(shipment, (pallet,)), DOCK)


def _run(carton: str, move: Moved) -> DiscsSleeved:
    return DiscsSleeved(batch(), gtin(1), carton, move.quantity, AT, AT, (move,), (), None, ())


def _scans(line: _Line, units: int) -> list[RawScan]:
    start = line.scan
    line.scan += 2 * units
    return [RawScan(start + place, AT, _SCANNED[place % 2]) for place in range(1, 2 * units + 1)]


def _close(bulk: Bulk, carton: str, units: int, pallet: str) -> None:
    bulk.write(CartonClosed(carton, units), LINE)
    bulk.write(CartonPalletised(carton, pallet), DOCK)


def _sscc(extension: str, serial: int) -> str:
    return str(Sscc.build(extension, "9520000", serial))
