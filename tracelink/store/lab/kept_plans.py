"""Sampling plans that are kept for products, and strokes of a lot whose discs are not to be had."""

from dataclasses import dataclass

from sqlalchemy import Connection, text

from tracelink.ledger.closed_sets import DiscPlace
from tracelink.quality.sampling.sampling_asked import SamplingAsked

# The plan of a lot is that of the day on which it was begun: what is decided later draws no other discs of it.
_PLAN = text(
    "SELECT p.seq, p.aql, p.level, p.severity, p.detect, p.confidence, p.one_in FROM sampling_plan p "
    "JOIN lot l ON l.gtin = p.gtin WHERE l.code = :lot AND p.since <= COALESCE((SELECT MIN(substr(m.at, 1, 10)) "
    "FROM movement m WHERE m.lot = l.code), '9999') ORDER BY p.since DESC, p.seq DESC LIMIT 1"
)
_THROWN = text('SELECT "first", "last" FROM movement WHERE lot = :lot AND target = :set_up')
_MISSED = text("SELECT stroke FROM missed_disc WHERE lot = :lot")


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """The plan of a product."""

    entry: int
    """The entry that keeps it."""
    asked: SamplingAsked


def kept_plan(conn: Connection, lot: str) -> KeptPlan | None:
    """Return the plan that is kept for the product of a lot; None if there is none."""
    row = conn.execute(_PLAN, {"lot": lot}).first()
    if row is None:
        return None
    asked = SamplingAsked(row.aql, row.level, row.severity, row.detect, row.confidence, row.one_in)
    return KeptPlan(row.seq, asked)


def missing_strokes(conn: Connection, lot: str) -> frozenset[int]:
    """Return the strokes of a lot that were thrown out at set-up, or that somebody looked for and did not find."""
    thrown = conn.execute(_THROWN, {"lot": lot, "set_up": DiscPlace.SET_UP})
    found = {stroke for row in thrown for stroke in range(row.first, row.last + 1)}
    return frozenset(found | {int(stroke) for stroke in conn.execute(_MISSED, {"lot": lot}).scalars()})
