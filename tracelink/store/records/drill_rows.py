"""What a drill can draw, and the drills that were recorded."""

from sqlalchemy import Connection, text

from tracelink.facts.held_drill import RecordedDrill

_DRAWABLE = {
    "carton": text(
        "SELECT c.sscc FROM carton c JOIN nesting n ON n.child = c.sscc AND n.closed_seq IS NULL "
        "LEFT JOIN nesting m ON m.child = n.parent AND m.closed_seq IS NULL "
        "JOIN shipment s ON s.code = COALESCE(m.parent, n.parent) WHERE s.status = 'shipped'"
    ),
    "stamper": text(
        'SELECT stamper_a FROM run_segment WHERE "last" >= "first" UNION '
        'SELECT stamper_b FROM run_segment WHERE "last" >= "first"'
    ),
    "reel": text("SELECT code FROM reel WHERE used > 0"),
    "part-lot": text("SELECT code FROM part_lot WHERE taken > 0"),
    # A step that made nothing is one that tools, discs, pieces or material went through.
    "bath": text(
        "SELECT s.code FROM step s WHERE NOT EXISTS (SELECT 1 FROM step_output o WHERE o.step = s.code) "
        "AND EXISTS (SELECT 1 FROM step_item i WHERE i.step = s.code)"
    ),
    "blend": text("SELECT DISTINCT material FROM step_output"),
}
_HELD = text(
    "SELECT d.seq, d.seed, d.what, d.subject, d.back_ms, d.forward_ms, d.contain_ms, d.balance_ms, d.gaps, "
    "d.difference, d.lots_off, d.limit_minutes FROM drill d ORDER BY d.seq"
)


def drawable(conn: Connection, what: str) -> list[str]:
    """Return the codes that a drill draws from: what was shipped, or was used for what was made.

    Args:
        conn: a connection inside a transaction.
        what: one of `facts.held_drill.DRAWN_FROM`.
    """
    return list(conn.execute(_DRAWABLE[what]).scalars())


def held_drills(conn: Connection) -> list[RecordedDrill]:
    """Return the drills that were recorded, oldest first."""
    return [RecordedDrill(*row) for row in conn.execute(_HELD)]
