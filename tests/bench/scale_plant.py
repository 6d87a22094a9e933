"""A plant of any size for the containment benchmark: the entries its stations would have written, in bulk.

Invented, with the proportions of the trade: lots of 1,000 discs, a stamper pair for 1,000 strokes that outlives
the lot it began in, ten stampers to a mother, ten mothers to a father, a father to a lacquer, stacks of 200 from which two discs are
thrown out unrecorded, cartons of 25 filled from the stacks, a pallet a lot, a shipment a pallet.

People are signed on where they work, every act has the scan that led to it, and time goes on from scan to scan, so the
journal replays like any other.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from scale_bulk import Bulk
from sqlalchemy import Connection
from support_plant import code, gtin, raw_disc, raw_sleeve

from tracelink.identity.gs1.sscc import Sscc
from tracelink.ledger.closed_sets import DiscPlace
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
from tracelink.ledger.kinds.line import (
    CartonClosed,
    CartonOpened,
    DiscsSleeved,
    LineCleared,
    SleevesOpened,
    SpindleOpened,
)
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
from tracelink.ledger.kinds.station import SignedOn
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown

LOT = 1000
STACK = 200
CARTON = 25
THROWN = 2
CHANGE = 600
"""Strokes of a lot that are still pressed with the stamper pair of the lot before."""
TOOLS, PRESS, LAB, LINE, DOCK, SPARE = (code("W", place) for place in range(1, 7))
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


@dataclass(slots=True)
class _Line:
    """What the packing line has in hand."""

    carton: int = 0
    """Cartons used so far, over all lots."""


def fill(conn: Connection, discs: int, *, keeps_journal: bool) -> Iterator[int]:
    """Write a plant that has pressed `discs` discs; yields the discs written after each lot."""
    bulk = Bulk(conn, keeps_journal=keeps_journal)
    line = _Line()
    bulk.write(SleevesReceived(batch(), gtin(1), discs, None, None, superseded=False))
    _sign_on(bulk)
    for number in range(discs // LOT):
        _grow(bulk, number)
        _press(bulk, number)
        _pack(bulk, number, line)
        bulk.flush()
        yield (number + 1) * LOT


def _sign_on(bulk: Bulk) -> None:
    person, second = code("P", 1), code("P", 2)
    for station in (TOOLS, PRESS, LAB, LINE, DOCK):
        bulk.sign_on(SignedOn(person), station)
    # Somebody looked in at a station that is used for nothing else.
    bulk.sign_on(SignedOn(second), SPARE)
    bulk.write(LineCleared(second), LINE)
    bulk.write(SleevesOpened(batch(), gtin(1), numbered=False, discs=1, carton_size=CARTON), LINE)


def _grow(bulk: Bulk, lot: int) -> None:
    for side, letter in enumerate("AB"):
        if lot % _FATHERS == 0:
            bulk.write(MasterRegistered(lacquer(lot, side), "lacquer", letter, f"EX-101-{letter}"), TOOLS)
            bulk.write(
                ToolGrown(father(lot, side), "father", lacquer(lot, side), letter, f"EX-101-{letter}"), TOOLS
            )
        if lot % 10 == 0:
            bulk.write(
                ToolGrown(mother(lot, side), "mother", father(lot, side), letter, f"EX-101-{letter}"), TOOLS
            )
        bulk.write(
            ToolGrown(stamper(lot, side), "stamper", mother(lot, side), letter, f"EX-101-{letter}"), TOOLS
        )
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
    bulk.write(LotDecided(lot, "released", None), LAB, reason="samples judged")


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
            scans = bulk.scanned(LINE, _SCANNED * taken)
            move = Moved(lot, taken, card, cartons[-1], None, None)
            bulk.seal(_run(cartons[-1], move, scans[0].at, scans[-1].at), LINE, scans)
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


def _run(carton: str, move: Moved, first_at: str, last_at: str) -> DiscsSleeved:
    return DiscsSleeved(batch(), gtin(1), carton, move.quantity, first_at, last_at, (move,), (), None, ())


def _close(bulk: Bulk, carton: str, units: int, pallet: str) -> None:
    bulk.write(CartonClosed(carton, units), LINE)
    bulk.write(CartonPalletised(carton, pallet), DOCK)


def _sscc(extension: str, serial: int) -> str:
    return str(Sscc.build(extension, "9520000", serial))
