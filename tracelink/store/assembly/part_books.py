"""What balances of part lots, reels and trays are made from, read from SQL inside one transaction."""

from typing import Any

from sqlalchemy import Connection, TextClause, text

from tracelink.balance.lot import LotBalance
from tracelink.balance.parts import PartLotBooks, ReelBooks, part_lot_balance, reel_balance
from tracelink.errors import UsageError
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.parts.part_sets import PartLotStatus
from tracelink.ledger.parts.piece_places import pieces_of_place
from tracelink.store.assembly.order_books import order_books

_REEL = text("SELECT used FROM reel WHERE code = :code")
_TAPED = text(
    'SELECT part_lot, SUM("last" - "first" + 1) AS parts FROM reel_item WHERE reel = :code GROUP BY part_lot ORDER BY part_lot'
)
_MOVES = text("SELECT quantity, source, target FROM part_move WHERE reel = :code ORDER BY seq, line")
_COUNTS = text("SELECT seq, shown, counted FROM reel_count WHERE reel = :code ORDER BY seq")
_PART_LOT = text("SELECT quantity, failed, taken, status FROM part_lot WHERE code = :code")
_REELS = text(
    'SELECT reel, SUM("last" - "first" + 1) AS parts FROM reel_item WHERE part_lot = :code GROUP BY reel ORDER BY reel'
)
OF_PARTS = (CodeKind.PART_LOT, CodeKind.REEL, CodeKind.BUILD)
"""Kinds of codes that have such a balance."""


def parts_balance(conn: Connection, code: str) -> LotBalance:
    """Return the balance of a part lot, a reel, a tray or a build order.

    Args:
        conn: a connection inside a transaction.
        code: its code.

    Raises:
        UsageError: it is not in the system.
    """
    if code[:1] == CodeKind.BUILD.value:
        return order_books(conn, code)
    return _reel(conn, code) if code[:1] == CodeKind.REEL.value else _part_lot(conn, code)


def _rows(conn: Connection, query: TextClause, code: str) -> list[Any]:
    return list(conn.execute(query, {"code": code}).all())


def _reel(conn: Connection, code: str) -> LotBalance:
    rows = _rows(conn, _REEL, code)
    if not rows:
        raise UsageError(f"reel {code} is not in the system")
    placed = joined = thrown = 0
    out: dict[str, int] = {}
    net: dict[str, int] = {}
    for move in _rows(conn, _MOVES, code):
        net[move.source] = net.get(move.source, 0) - move.quantity
        net[move.target] = net.get(move.target, 0) + move.quantity
        if move.source != DiscPlace.COUNTER:
            out[move.target] = out.get(move.target, 0) + move.quantity
        elif move.target == DiscPlace.SCRAP:
            thrown += move.quantity
        elif pieces_of_place(move.target) is not None:
            placed += move.quantity
        else:
            joined += move.quantity
    # What a labelled board gave up is booked as taken out of its label, though it came there with its stretch.
    pieces = sum(quantity for place, quantity in net.items() if place[:1] in ("N", "U"))
    return reel_balance(
        ReelBooks(
            code,
            tuple((row.part_lot, int(row.parts)) for row in _rows(conn, _TAPED, code)),
            placed,
            joined,
            thrown,
            int(rows[0].used),
            tuple(sorted(out.items())),
            pieces,
            tuple((row.seq, row.shown, row.counted) for row in _rows(conn, _COUNTS, code)),
        )
    )


def _part_lot(conn: Connection, code: str) -> LotBalance:
    rows = _rows(conn, _PART_LOT, code)
    if not rows:
        raise UsageError(f"part lot {code} is not in the system")
    row = rows[0]
    return part_lot_balance(
        PartLotBooks(
            code,
            row.quantity,
            row.failed,
            tuple((each.reel, int(each.parts)) for each in _rows(conn, _REELS, code)),
            row.taken,
            row.status == PartLotStatus.REJECTED,
        )
    )
