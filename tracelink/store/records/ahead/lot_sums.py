"""The movements of lots, summed up in the database (see `genealogy/totals/plain_lots.py`) or read for many lots at a time."""

from collections.abc import Mapping, Sequence
from itertools import groupby
from operator import itemgetter

from sqlalchemy import Connection, text

from tracelink.genealogy.model.facts import MovementFact, MovementRow, MovementSums, PickedSum
from tracelink.store.records.ahead.ahead_rows import AheadRows, asking, rows_of
from tracelink.store.statements import short_reads

MOVEMENT = 'seq, line, lot, quantity, source, target, "first", "last", at, sense'
"""Columns of a movement, in the order of its fact."""
_PRESSED = asking(
    "SELECT lot, {movement} FROM movement WHERE lot IN ({codes}) AND source = 'counter' ORDER BY seq, line",
    movement=MOVEMENT,
)
# What went on, by where it came from and what the carton that it is in stands in now; only then is it grouped.
_PICKED = asking(
    "SELECT m.lot, m.source, CASE WHEN m.target = 'scrap' THEN 'scrap' WHEN c.status IS NOT NULL THEN 'carton' ELSE '' END,"
    " COALESCE(c.status, ''), COALESCE(n.parent, ''), CAST(SUM(m.quantity) AS BIGINT), COUNT(*), MIN(m.seq),"
    ' COUNT(m."first") + COUNT(m.sense)'
    " FROM movement m LEFT JOIN carton c ON c.sscc = m.target"
    " LEFT JOIN nesting n ON n.child = m.target AND n.closed_seq IS NULL"
    " WHERE m.lot IN ({codes}) AND m.source <> 'counter' GROUP BY m.lot, m.source, n.parent, c.status, m.target = 'scrap'"
)
_COUNTED = asking("SELECT lot, COUNT(*) FROM movement WHERE lot IN ({codes}) GROUP BY lot")
_WAITING = text("SELECT DISTINCT lot FROM spool WHERE spindle IS NOT NULL AND lot IS NOT NULL")


def sums_of(conn: Connection, lots: Sequence[str]) -> Mapping[str, MovementSums]:
    """Return the sums of each of these lots that has movements.

    Args:
        conn: a connection inside one transaction.
        lots: their codes.
    """
    pressed = AheadRows(conn, _PRESSED, MovementFact)
    picked = AheadRows(conn, _PICKED, PickedSum)
    moved = AheadRows(conn, _COUNTED, int)
    for rows in (pressed, picked, moved):
        rows.read(lots)
    waiting = {str(row[0]) for row in short_reads.tuples(conn, _WAITING, {})}
    return {
        lot: MovementSums(tuple(pressed.of(lot)), tuple(picked.of(lot)), moved.of(lot)[0], lot in waiting)
        for lot in lots
        if moved.of(lot)
    }


_ROWS_OF_LOTS = asking(
    "SELECT {movement} FROM movement WHERE lot IN ({codes}) ORDER BY lot, seq, line", movement=MOVEMENT
)
_LOT = itemgetter(MOVEMENT.split(", ").index("lot"))


class MovementsAhead:
    """Movements that were read ahead, each lot's until it is asked for: a press made more than should be kept.

    Args:
        conn: a connection inside one transaction, so that what was read stays true.
    """

    def __init__(self, conn: Connection) -> None:
        self._conn = conn
        self._rows: dict[str, list[MovementRow]] = {}

    def read(self, lots: Sequence[str]) -> None:
        """Read lots that will be asked for."""
        self._rows.update((lot, []) for lot in lots)
        rows = rows_of(self._conn, _ROWS_OF_LOTS, lots)
        self._rows.update((lot, list(moved)) for lot, moved in groupby(rows, _LOT))

    def of(self, lot: str) -> list[MovementRow]:
        """The movements of a lot, by (seq, line)."""
        if lot not in self._rows:
            self.read([lot])
        return self._rows.pop(lot)
