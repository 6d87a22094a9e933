"""Movements of lots, read for many lots at a time; see `ahead_rows.py`."""

from collections.abc import Sequence
from itertools import groupby
from operator import itemgetter

from sqlalchemy import Connection

from tracelink.genealogy.model.facts import MovementRow
from tracelink.store.records.ahead.ahead_rows import asking, rows_of
from tracelink.store.records.ahead.lot_sums import MOVEMENT

_MOVED = asking(
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
        rows = rows_of(self._conn, _MOVED, lots)
        self._rows.update((lot, list(moved)) for lot, moved in groupby(rows, _LOT))

    def of(self, lot: str) -> list[MovementRow]:
        """The movements of a lot, by (seq, line)."""
        if lot not in self._rows:
            self.read([lot])
        return self._rows.pop(lot)
