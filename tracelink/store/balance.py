"""What balances are made from, read from SQL inside one transaction; spooled matches count like sealed ones."""

from typing import Any

from sqlalchemy import Connection, TextClause, text

from tracelink.balance.facts import Count, LotRecords, Move
from tracelink.errors import UsageError

_LOT = text("SELECT counter FROM lot WHERE code = :code")
_MOVES = text(
    "SELECT m.seq, j.kind, m.quantity, m.source, m.target FROM movement m JOIN journal j ON j.seq = m.seq "
    "WHERE m.lot = :code ORDER BY m.seq, m.line"
)
_SPOOLED = text(
    "SELECT spindle, carton, COUNT(*) AS quantity FROM spool WHERE lot = :code AND spindle IS NOT NULL "
    "GROUP BY spindle, carton ORDER BY spindle, carton"
)
_STOCK = text("SELECT place, quantity FROM stock WHERE lot = :code ORDER BY place")
_COUNTS = text("SELECT seq, place, quantity, expected FROM stock_count WHERE lot = :code ORDER BY seq")
_CARTONS = text(
    "SELECT c.sscc, c.status, p.status AS pallet FROM carton c "
    "LEFT JOIN nesting n ON n.child = c.sscc AND n.closed_seq IS NULL "
    "LEFT JOIN pallet p ON p.sscc = n.parent "
    "WHERE c.sscc IN (SELECT place FROM stock WHERE lot = :code UNION "
    "SELECT carton FROM spool WHERE lot = :code AND carton IS NOT NULL)"
)


def lot_records(conn: Connection, lot: str) -> LotRecords:
    """Return all that was recorded of a lot's discs.

    Raises:
        UsageError: the lot is not known.
    """
    row = conn.execute(_LOT, {"code": lot}).first()
    if row is None:
        raise UsageError(f"lot {lot} is not known to the ledger")
    moves = [Move(*found) for found in _all(conn, _MOVES, lot)]
    stock = {found.place: int(found.quantity) for found in _all(conn, _STOCK, lot)}
    for spooled in _all(conn, _SPOOLED, lot):
        moves.append(Move(None, "discs-sleeved", spooled.quantity, spooled.spindle, spooled.carton))
        stock[spooled.spindle] = stock.get(spooled.spindle, 0) - spooled.quantity
        stock[spooled.carton] = stock.get(spooled.carton, 0) + spooled.quantity
    counts = tuple(Count(*found) for found in _all(conn, _COUNTS, lot))
    whereabouts = {found.sscc: _standing(found) for found in _all(conn, _CARTONS, lot)}
    return LotRecords(lot, int(row.counter), tuple(moves), stock, counts, whereabouts)


def _standing(row: Any) -> str:
    """Where a carton stands, by the status of its pallet, or its own when it is on none."""
    if row.pallet is None:
        return "in stock" if row.status == "closed" else f"in {row.status} cartons"
    return {"loaded": "on vehicles", "shipped": "shipped"}.get(row.pallet, "on pallets")


def _all(conn: Connection, query: TextClause, code: str) -> list[Any]:
    return list(conn.execute(query, {"code": code}))
