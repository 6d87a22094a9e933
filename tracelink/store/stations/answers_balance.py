"""Answers of counts and balances; a part of `SqlStationQueries`."""

from collections.abc import Sequence

from sqlalchemy import text

from tracelink.station.common.queries_balance import CartonCount, OpenInvestigation, StockLine
from tracelink.store.stations.asking import Asking

_STANDING = text(
    "SELECT k.lot, l.piece, SUM(k.quantity) AS quantity FROM ("
    "SELECT lot, quantity FROM stock WHERE place = :place "
    "UNION ALL SELECT lot, -COUNT(*) FROM spool WHERE spindle = :place GROUP BY lot "
    "UNION ALL SELECT lot, COUNT(*) FROM spool WHERE carton = :place AND lot IS NOT NULL GROUP BY lot"
    ") k JOIN lot l ON l.code = k.lot GROUP BY k.lot, l.piece ORDER BY l.piece, k.lot"
)
_INVESTIGATION = text(
    "SELECT seq, subject, difference, reason FROM investigation WHERE closed_seq IS NULL AND (subject = :lot "
    "OR subject IN (SELECT label_a FROM run_segment WHERE lot = :lot) "
    "OR subject IN (SELECT label_b FROM run_segment WHERE lot = :lot) "
    "OR subject IN (SELECT s.batch FROM stock k JOIN carton_sleeve s ON s.carton = k.place WHERE k.lot = :lot)) "
    "ORDER BY seq LIMIT 1"
)

_ABOUT = text("SELECT MIN(seq) FROM investigation WHERE subject = :subject AND closed_seq IS NULL")

# An investigation that was closed after the count was the one that the count belongs to.
_CARTON_COUNTS = text(
    "SELECT k.seq, k.lot, l.piece, k.missing, k.together, f.person, (SELECT MIN(i.seq) FROM investigation i "
    "WHERE i.subject = k.lot AND i.closed_seq IS NULL AND NOT EXISTS (SELECT 1 FROM investigation j "
    "WHERE j.subject = k.lot AND j.closed_seq > k.seq)) AS investigation FROM ("
    "SELECT seq, lot, expected - quantity AS missing, 0 AS together FROM stock_count WHERE place = :carton "
    "UNION ALL SELECT seq, lot, expected - quantity, 1 FROM mixed_count WHERE place = :carton "
    "UNION ALL SELECT a.seq, s.lot, a.recorded - a.counted, 1 FROM aggregation_check a JOIN stock s "
    "ON s.place = a.carton AND s.quantity > 0 WHERE a.carton = :carton"
    ") k JOIN lot l ON l.code = k.lot LEFT JOIN finding f ON f.seq = k.seq ORDER BY k.seq, k.lot"
)
_MISCOUNTED = text(
    "SELECT DISTINCT n.child FROM nesting n JOIN ("
    "SELECT place FROM stock_count WHERE quantity <> expected UNION SELECT place FROM mixed_count "
    "WHERE quantity <> expected UNION SELECT carton FROM aggregation_check WHERE recorded <> counted"
    ") k ON k.place = n.child WHERE n.parent = :parent AND n.closed_seq IS NULL ORDER BY n.child"
)


class BalanceAnswers(Asking):
    """Answers of counts and balances, inside one transaction."""

    def standing_at(self, place: str) -> Sequence[StockLine]:
        """The discs at a place by lot, spooled matches included; lots that had discs there once are listed too."""
        found = self._all(_STANDING, place=place)
        return [StockLine(row.lot, row.piece, int(row.quantity)) for row in found]

    def investigation_about(self, subject: str) -> int | None:
        """The number of an open investigation about exactly this lot, batch or label."""
        [found] = self._scalars(_ABOUT, subject=subject)
        return None if found is None else int(found)

    def open_investigation(self, lot: str) -> OpenInvestigation | None:
        """An open investigation of a lot, of the labels it was pressed with, or of sleeves its discs are in."""
        row = self._first(_INVESTIGATION, lot=lot)
        return None if row is None else OpenInvestigation(row.seq, row.subject, row.difference, row.reason)

    def carton_counts(self, carton: str) -> Sequence[CartonCount]:
        """Every count of a carton by hand, the oldest first: by units, by lots, and when it was opened for a check."""
        return [
            CartonCount(
                row.seq, row.lot, row.piece, row.missing, bool(row.together), row.person, row.investigation
            )
            for row in self._all(_CARTON_COUNTS, carton=carton)
        ]

    def cartons_miscounted(self, parent: str) -> Sequence[str]:
        """The cartons on a pallet, or alone in a shipment, of which some count differed from the system."""
        return self._scalars(_MISCOUNTED, parent=parent)
