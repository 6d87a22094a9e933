"""Sampling plans that are kept for products, and strokes of a lot whose discs are not to be had."""

from dataclasses import dataclass

from sqlalchemy import Connection, text

from tracelink.ledger.closed_sets import DiscPlace
from tracelink.quality.sampling.sampling_asked import SamplingAsked

# The plans of a lot are those of the day on which it was begun: what is decided later draws no other discs of it.
_PLANS = text(
    "SELECT p.seq, p.aql, p.level, p.severity, p.detect, p.confidence, p.one_in, p.inspection FROM sampling_plan p "
    "JOIN lot l ON l.gtin = p.gtin WHERE l.code = :lot AND p.since <= COALESCE((SELECT MIN(substr(m.at, 1, 10)) "
    "FROM movement m WHERE m.lot = l.code), '9999') ORDER BY p.since, p.seq"
)
_DEFECTS = text("SELECT defect FROM sampling_plan_defect WHERE seq = :seq ORDER BY defect")
_THROWN = text('SELECT "first", "last" FROM movement WHERE lot = :lot AND target = :set_up')
_MISSED = text("SELECT stroke FROM missed_disc WHERE lot = :lot")


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """The plan of a product for one kind of inspection."""

    entry: int
    """The entry that keeps it."""
    asked: SamplingAsked
    defects: frozenset[str]
    """The defects that count in it; none for every defect."""


def kept_plans(conn: Connection, lot: str) -> list[KeptPlan]:
    """Return the plans that are kept for the product of a lot, one for each kind of inspection."""
    newest = {row.inspection: row for row in conn.execute(_PLANS, {"lot": lot})}
    return [
        KeptPlan(
            row.seq,
            SamplingAsked(
                row.aql, row.level, row.severity, row.detect, row.confidence, row.one_in, row.inspection
            ),
            frozenset(conn.execute(_DEFECTS, {"seq": row.seq}).scalars()),
        )
        for row in newest.values()
    ]


def missing_strokes(conn: Connection, lot: str) -> frozenset[int]:
    """Return the strokes of a lot that were thrown out at set-up, or that somebody looked for and did not find."""
    thrown = conn.execute(_THROWN, {"lot": lot, "set_up": DiscPlace.SET_UP})
    found = {stroke for row in thrown for stroke in range(row.first, row.last + 1)}
    return frozenset(found | {int(stroke) for stroke in conn.execute(_MISSED, {"lot": lot}).scalars()})
