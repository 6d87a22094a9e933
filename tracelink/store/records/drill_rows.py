"""What a drill can draw, and the drills that were recorded."""

from typing import Any

from sqlalchemy import Connection, text

_DRAWN_FROM = {
    "carton": text(
        "SELECT c.sscc FROM carton c JOIN nesting n ON n.child = c.sscc AND n.closed_seq IS NULL "
        "LEFT JOIN nesting m ON m.child = n.parent AND m.closed_seq IS NULL "
        "JOIN shipment s ON s.code = COALESCE(m.parent, n.parent) WHERE s.status = 'shipped'"
    ),
    "stamper": text(
        'SELECT stamper_a FROM run_segment WHERE "last" >= "first" UNION '
        'SELECT stamper_b FROM run_segment WHERE "last" >= "first"'
    ),
}
_HELD = text(
    "SELECT d.seq, d.seed, d.what, d.subject, d.back_ms, d.forward_ms, d.contain_ms, d.balance_ms, d.gaps, "
    "d.difference, d.lots_off, d.limit_minutes FROM drill d ORDER BY d.seq"
)

SUBJECTS = tuple(_DRAWN_FROM)
"""What can be drawn."""


def drawable(conn: Connection, what: str) -> list[str]:
    """Return the codes that a drill draws from: cartons that were shipped, or stampers that pressed.

    Args:
        conn: a connection inside a transaction.
        what: one of `SUBJECTS`.
    """
    return list(conn.execute(_DRAWN_FROM[what]).scalars())


def held_drills(conn: Connection) -> list[dict[str, Any]]:
    """Return the drills that were recorded, oldest first."""
    return [dict(row) for row in conn.execute(_HELD).mappings()]
