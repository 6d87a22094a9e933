"""What the lab has of a lot, and what was decided on the lots of its product before it."""

from dataclasses import dataclass

from sqlalchemy import Connection, text

from tracelink.genealogy.sampling.strokes_to_draw import LabSample
from tracelink.ledger.closed_sets import LotDecision, LotStatus

_LOT = text("SELECT planned, counter, status FROM lot WHERE code = :lot")
_SAMPLES = text(
    "SELECT s.code, s.stroke, j.good, j.defect FROM sample s LEFT JOIN judgement j "
    "ON j.sample = s.code AND j.corrected_by IS NULL WHERE s.lot = :lot ORDER BY s.seq, j.good, j.seq"
)
_BEFORE = text(
    "SELECT l.code, l.decision FROM lot l JOIN lot o ON o.gtin = l.gtin AND o.piece = l.piece "
    "JOIN run_segment r ON r.lot = l.code WHERE o.code = :lot AND l.code <> o.code AND l.decision <> :pending "
    "GROUP BY l.code, l.decision "
    "HAVING MIN(r.seq) < COALESCE((SELECT MIN(t.seq) FROM run_segment t WHERE t.lot = :lot), MIN(r.seq) + 1) "
    "ORDER BY MIN(r.seq)"
)
_BAD_FOR = text(
    "SELECT DISTINCT j.defect FROM sample s JOIN judgement j ON j.sample = s.code "
    "WHERE s.lot = :lot AND j.good = 0 AND j.corrected_by IS NULL"
)


@dataclass(frozen=True, slots=True)
class SampledLot:
    """A lot as the lab sees it."""

    planned: int
    """Discs that were planned."""
    pressed: int
    """Discs pressed so far."""
    ended: bool
    """True if it was taken off its press."""
    samples: tuple[LabSample, ...]
    """Its samples, in the order they were drawn."""


def sampled_lot(conn: Connection, lot: str) -> SampledLot | None:
    """Return what the lab has of a lot; None if the records know no such lot."""
    row = conn.execute(_LOT, {"lot": lot}).first()
    if row is None:
        return None
    samples: dict[str, LabSample] = {}
    for found in conn.execute(_SAMPLES, {"lot": lot}):
        # A disc judged more than once is bad if it was bad for anything; the bad judgement comes first.
        good = None if found.good is None else bool(found.good)
        samples.setdefault(found.code, LabSample(found.code, found.stroke, good, found.defect))
    return SampledLot(row.planned, row.counter, row.status == LotStatus.PRESSED, tuple(samples.values()))


def rejected_before(conn: Connection, lot: str, defects: frozenset[str]) -> list[bool]:
    """Say of each decided lot of the same disc that was begun before this one whether it is rejected, oldest first.

    Args:
        conn: a connection.
        lot: the lot.
        defects: those of a kind of inspection; none for every defect. A lot that was rejected is not rejected in this kind if
            discs of it were bad, and none of them for one of these. One without a bad disc is rejected in every kind.
    """
    found = conn.execute(_BEFORE, {"lot": lot, "pending": LotDecision.PENDING}).all()
    return [row.decision == LotDecision.REJECTED and _counts(conn, row.code, defects) for row in found]


def _counts(conn: Connection, lot: str, defects: frozenset[str]) -> bool:
    if not defects:
        return True
    bad = set(conn.execute(_BAD_FOR, {"lot": lot}).scalars())
    return not bad or bool(bad & defects)
