"""What balances are made from, read from SQL inside one transaction; spooled matches count like sealed ones."""

from typing import Any

from sqlalchemy import Connection, TextClause, text

from tracelink.balance.lot_records import Count, LotRecords, MixedCount, Move
from tracelink.errors import UsageError
from tracelink.ledger.closed_sets import CartonStatus, PalletStatus, ShipmentStatus
from tracelink.ledger.kinds.line import DiscsSleeved

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
    "SELECT c.sscc, c.status, COALESCE(p.status, s.status) AS outer_status FROM carton c "
    "LEFT JOIN nesting n ON n.child = c.sscc AND n.closed_seq IS NULL "
    "LEFT JOIN pallet p ON p.sscc = n.parent LEFT JOIN shipment s ON s.code = n.parent "
    "WHERE c.sscc IN (SELECT place FROM stock WHERE lot = :code UNION "
    "SELECT carton FROM spool WHERE lot = :code AND carton IS NOT NULL)"
)

# Older programs moved no loose discs; what is moved stands at its places.
_LOOSE = text(
    "SELECT status, SUM(discs) AS discs FROM return_line r WHERE lot = :code AND carton IS NULL "
    "AND NOT EXISTS (SELECT 1 FROM movement m WHERE m.seq = r.seq) GROUP BY status"
)
_MIXED = text(
    "SELECT c.seq, c.place, c.own, c.quantity, c.expected FROM mixed_count c WHERE c.lot = :code AND NOT EXISTS ("
    "SELECT 1 FROM mixed_count d WHERE d.place = c.place AND d.seq > c.seq) AND NOT EXISTS ("
    "SELECT 1 FROM stock_count k WHERE k.place = c.place AND k.lot = c.lot AND k.seq > c.seq) ORDER BY c.seq"
)
_UNKNOWN = text(
    "SELECT COALESCE(SUM(r.discs), 0) FROM return_line r WHERE r.lot IS NULL AND r.carton IS NULL AND r.matrix IN ("
    "SELECT q.matrix_a FROM lot l JOIN product_part q ON q.gtin = l.gtin AND q.piece = l.piece WHERE l.code = :code "
    "UNION SELECT q.matrix_b FROM lot l JOIN product_part q ON q.gtin = l.gtin AND q.piece = l.piece "
    "WHERE l.code = :code)"
)


def lot_records(conn: Connection, lot: str) -> LotRecords:
    """Return all that was recorded of a lot's discs.

    Raises:
        UsageError: the lot is not known.
    """
    row = conn.execute(_LOT, {"code": lot}).first()
    if row is None:
        raise UsageError(f"lot {lot} is not in the system")
    moves = [Move(*found) for found in _all(conn, _MOVES, lot)]
    stock = {found.place: int(found.quantity) for found in _all(conn, _STOCK, lot)}
    for spooled in _all(conn, _SPOOLED, lot):
        moves.append(Move(None, DiscsSleeved.kind, spooled.quantity, spooled.spindle, spooled.carton))
        stock[spooled.spindle] = stock.get(spooled.spindle, 0) - spooled.quantity
        stock[spooled.carton] = stock.get(spooled.carton, 0) + spooled.quantity
    counts = tuple(Count(*found) for found in _all(conn, _COUNTS, lot))
    whereabouts = {found.sscc: _standing(found) for found in _all(conn, _CARTONS, lot)}
    loose = {found.status: int(found.discs) for found in _all(conn, _LOOSE, lot)}
    mixed = tuple(MixedCount(*found) for found in _all(conn, _MIXED, lot))
    unknown = int(conn.execute(_UNKNOWN, {"code": lot}).scalar_one())
    return LotRecords(lot, int(row.counter), tuple(moves), stock, counts, whereabouts, loose, unknown, mixed)


def _standing(row: Any) -> str:
    """Where a carton stands, by the status of its pallet or shipment, or its own when it is in neither."""
    if row.outer_status is None:
        return "in stock" if row.status == CartonStatus.CLOSED else f"in {row.status} cartons"
    known: dict[str, str] = {
        PalletStatus.LOADED: "on vehicles",
        ShipmentStatus.LOADING: "on vehicles",
        ShipmentStatus.SHIPPED: "shipped",
    }
    return known.get(row.outer_status, "on pallets")


def _all(conn: Connection, query: TextClause, code: str) -> list[Any]:
    return list(conn.execute(query, {"code": code}))
