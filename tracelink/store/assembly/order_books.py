"""What the balance of a build order is made from: each part issued to it, read from SQL inside one transaction."""

from __future__ import annotations

from sqlalchemy import Connection, text

from tracelink.balance.lot import LotBalance
from tracelink.balance.order_parts import IssuedReel, JoinedKind, OrderBooks, order_balance
from tracelink.errors import UsageError
from tracelink.ledger.closed_sets import DiscPlace

_ORDER = text(
    "SELECT b.quantity, COALESCE((SELECT MAX(done) FROM machine_run m WHERE m.build = b.code), 0) AS done, "
    "(SELECT COUNT(*) FROM piece p WHERE p.build = b.code) AS labelled FROM build b WHERE b.code = :code"
)
_PLACED = text(
    "SELECT DISTINCT m.reel, r.part, r.revision, r.holds, r.used FROM part_move m JOIN reel r ON r.code = m.reel "
    "WHERE m.build = :code ORDER BY r.part, m.reel"
)
# What was thrown away is booked by the entry that placed the rest, and belongs to its order.
_MOVES = text(
    "SELECT m.seq, m.quantity, m.source, m.target, m.build, "
    "(SELECT MIN(o.build) FROM part_move o WHERE o.seq = m.seq AND o.build IS NOT NULL) AS of_entry, "
    "(SELECT p.build FROM piece p WHERE p.code = m.source) AS out_of FROM part_move m WHERE m.reel = :code ORDER BY m.seq, m.line"
)
_COUNTS = text("SELECT shown, counted, seq FROM reel_count WHERE reel = :code ORDER BY seq")
_JOINED = text(
    "SELECT b.part, COUNT(*) AS joined, SUM(CASE WHEN n.closed_seq IS NULL THEN 1 ELSE 0 END) AS inside FROM nesting n "
    "JOIN piece u ON u.code = n.parent JOIN piece c ON c.code = n.child JOIN build b ON b.code = c.build "
    "WHERE u.build = :code GROUP BY b.part ORDER BY b.part"
)
_OUT = text(
    "SELECT b.part, t.went_to, COUNT(*) AS pieces FROM taken_out t JOIN piece u ON u.code = t.unit JOIN piece c ON c.code = t.piece "
    "JOIN build b ON b.code = c.build WHERE u.build = :code GROUP BY b.part, t.went_to ORDER BY b.part, t.went_to"
)


def order_books(conn: Connection, code: str) -> LotBalance:
    """Return the balance of a build order.

    Args:
        conn: a connection inside a transaction.
        code: its code.

    Raises:
        UsageError: it is not in the system.
    """
    order = conn.execute(_ORDER, {"code": code}).first()
    if order is None:
        raise UsageError(f"build order {code} is not in the system")
    out: dict[str, list[tuple[str, int]]] = {}
    for row in conn.execute(_OUT, {"code": code}):
        out.setdefault(row.part, []).append((row.went_to, int(row.pieces)))
    return order_balance(
        OrderBooks(
            code,
            order.quantity,
            max(int(order.done), int(order.labelled)),
            tuple(
                (f"{row.part} {row.revision}", _issued(conn, code, row.reel, int(row.holds), int(row.used)))
                for row in conn.execute(_PLACED, {"code": code})
            ),
            tuple(
                JoinedKind(row.part, int(row.joined), int(row.inside), tuple(out.get(row.part, ())))
                for row in conn.execute(_JOINED, {"code": code})
            ),
        )
    )


def _issued(conn: Connection, build: str, reel: str, holds: int, used: int) -> IssuedReel:
    before = taken = dropped = elsewhere = inside = 0
    out: dict[str, int] = {}
    for move in conn.execute(_MOVES, {"code": reel}):
        if move.source != DiscPlace.COUNTER:
            if move.out_of == build:
                inside -= move.quantity
                out[move.target] = out.get(move.target, 0) + move.quantity
        elif build in (move.build, move.of_entry):
            taken += move.quantity
            if move.target == DiscPlace.SCRAP:
                dropped += move.quantity
            else:
                inside += move.quantity
        elif taken:
            elsewhere += move.quantity
        else:
            # The order has the reel as it was when it first took something off it.
            before += move.quantity
    counts = conn.execute(_COUNTS, {"code": reel}).all()
    missing = counts[-1].shown - counts[-1].counted if counts else 0
    count = (int(counts[-1].seq), missing) if counts else None
    return IssuedReel(
        reel,
        holds - before,
        inside,
        dropped,
        elsewhere,
        tuple(sorted(out.items())),
        count,
        holds - used - missing,
    )
