"""Answers of the press room; a part of `SqlStationQueries`."""

from sqlalchemy import text

from tracelink.station.common.queries_press import LastRange
from tracelink.store.stations.asking import Asking

# Strokes that go to a sample leave the counter one by one; a range ends at the counter and goes to a stack or bin.
_LAST = text(
    'SELECT m.seq, m.line, m.target, m."first", m."last" FROM movement m WHERE m.lot = :lot '
    "AND m.source = 'counter' AND NOT EXISTS (SELECT 1 FROM sample s WHERE s.code = m.target) "
    'ORDER BY m."last" DESC LIMIT 1'
)
_RESTS = text(
    "SELECT 'entry ' || MIN(m.seq) || ' took discs from ' || m.source AS what FROM movement m "
    "WHERE m.source = :place AND m.lot = :lot AND m.seq > :seq AND :place <> 'set-up' GROUP BY m.source "
    "UNION ALL SELECT 'discs of ' || p.spindle || ' are packed already' FROM spool p WHERE p.spindle = :place "
    "UNION ALL SELECT 'entry ' || MIN(c.seq) || ' counted what is there' FROM stock_count c WHERE c.lot = :lot "
    "AND c.place IN (:place, 'counter') AND c.seq > :seq GROUP BY c.lot "
    "UNION ALL SELECT 'entry ' || MIN(h.seq) || ' emptied the hopper since' FROM hopper_emptied h "
    "WHERE h.lot = :lot AND h.seq > :seq GROUP BY h.lot LIMIT 1"
)
_STACKED = text("SELECT 1 FROM movement WHERE target = :spindle AND source = 'counter' LIMIT 1")
_SAMPLED = text(
    "SELECT code, stroke FROM sample WHERE lot = :lot AND stroke >= :stroke ORDER BY stroke DESC LIMIT 1"
)


class PressAnswers(Asking):
    """Answers of the press room, inside one transaction."""

    def last_range(self, lot: str) -> LastRange | None:
        """The last strokes of a lot that were stacked or thrown out as trial discs."""
        row = self._first(_LAST, lot=lot)
        if row is None:
            return None
        rests = self._first(_RESTS, lot=lot, place=row.target, seq=row.seq)
        what = None if rests is None else str(rests.what)
        return LastRange(row.seq, row.line, row.target, row.first, row.last, what)

    def is_stack(self, spindle: str) -> bool:
        """Return whether discs were put on a spindle at the press, not only loose ones that came back."""
        return self._first(_STACKED, spindle=spindle) is not None

    def sampled_from(self, lot: str, stroke: int) -> tuple[str, int] | None:
        """The last sample of a lot from this stroke on, with its stroke."""
        row = self._first(_SAMPLED, lot=lot, stroke=stroke)
        return None if row is None else (str(row.code), int(row.stroke))
