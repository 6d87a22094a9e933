"""Answers of counts and balances; a part of `SqlStationQueries`."""

from collections.abc import Sequence

from sqlalchemy import Connection, text

from tracelink.station.common.queries_balance import OpenInvestigation, StockLine

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


class BalanceAnswers:
    """Answers of counts and balances, inside one transaction."""

    _conn: Connection

    def standing_at(self, place: str) -> Sequence[StockLine]:
        """The discs at a place by lot, spooled matches included; lots that had discs there once are listed too."""
        found = self._conn.execute(_STANDING, {"place": place})
        return [StockLine(row.lot, row.piece, int(row.quantity)) for row in found]

    def investigation_about(self, subject: str) -> int | None:
        """The number of an open investigation about exactly this lot, batch or label."""
        found = self._conn.execute(_ABOUT, {"subject": subject}).scalar()
        return None if found is None else int(found)

    def open_investigation(self, lot: str) -> OpenInvestigation | None:
        """An open investigation of a lot, of the labels it was pressed with, or of sleeves its discs are in."""
        row = self._conn.execute(_INVESTIGATION, {"lot": lot}).first()
        return None if row is None else OpenInvestigation(row.seq, row.subject, row.difference, row.reason)
