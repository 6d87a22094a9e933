"""Every scan that stations took, in the order of turns, read from packs and spool into a table of a scratch ledger.

A scan may be sealed long after it was taken, so the order of the journal is not theirs; sorting millions of them is
left to the database.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, text

from tracelink.ledger.packs import RawScan
from tracelink.ledger.proof.chain import JournalRow
from tracelink.store.database.tables_stations import SPOOL_IN_ORDER

_AT_A_TIME = 5000
_MAKE = text(
    "CREATE TABLE taken_scan (turn INTEGER, after INTEGER, station TEXT NOT NULL, number INTEGER NOT NULL, at TEXT NOT NULL, "
    "raw TEXT NOT NULL, entry INTEGER)"
)
_INDEX = text("CREATE INDEX ix_taken_scan ON taken_scan (turn)")
_PUT = text("INSERT INTO taken_scan VALUES (:turn, :after, :station, :number, :at, :raw, :entry)")
_NEXT = text(
    "SELECT rowid AS line, * FROM taken_scan WHERE turn IS NOT NULL AND (turn, rowid) > (:turn, :line) "
    "ORDER BY turn, rowid LIMIT :most"
)
_FIRST = text("SELECT after FROM taken_scan WHERE turn IS NOT NULL ORDER BY turn LIMIT 1")
_WAITED = text(
    "SELECT * FROM taken_scan WHERE turn IS NULL AND (entry IS NULL OR entry > :after) ORDER BY station, number"
)


@dataclass(frozen=True, slots=True)
class TakenScan:
    """One scan, and where it was taken."""

    station: str
    scan: RawScan


class TakenScans:
    """All scans of a ledger."""

    def __init__(self, scratch: Connection) -> None:
        """Args: scratch: a connection inside a write transaction of a scratch ledger."""
        self._conn = scratch
        self._rows: list[dict[str, Any]] = []
        scratch.execute(_MAKE)

    def packed(self, row: JournalRow, station: str) -> None:
        """Take in the scans beside an entry of a station."""
        for scan in row.scans.scans:
            self._put(station, scan, row.seq)

    def waiting(self, live: Connection) -> None:
        """Take in the scans that are not sealed yet; call once, after the last entry."""
        for row in live.execute(SPOOL_IN_ORDER):
            self._put(row.station, RawScan(row.number, row.at, row.raw, row.turn, row.after), None)
        self._flush()
        self._conn.execute(_INDEX)

    def first_after(self) -> int | None:
        """Return after which entry the scan with the first turn came; None if no scan has a turn."""
        found = self._conn.execute(_FIRST).scalar()
        return None if found is None else int(found)

    def in_turn(self) -> Iterator[TakenScan]:
        """Yield the scans with a turn in their order; of those with one turn, the first found first."""
        turn, line = -1, -1
        while True:
            values = {"turn": turn, "line": line, "most": _AT_A_TIME}
            chunk = self._conn.execute(_NEXT, values).all()
            for row in chunk:
                yield _taken(row)
            if len(chunk) < _AT_A_TIME:
                return
            turn, line = chunk[-1].turn, chunk[-1].line

    def that_waited(self, after: int) -> list[TakenScan]:
        """Return the scans without a turn that were not sealed yet when the journal ended at an entry."""
        return [_taken(row) for row in self._conn.execute(_WAITED, {"after": after})]

    def _put(self, station: str, scan: RawScan, entry: int | None) -> None:
        row = {
            "turn": scan.turn,
            "after": scan.after,
            "station": station,
            "number": scan.number,
            "at": scan.at,
            "raw": scan.raw,
            "entry": entry,
        }
        self._rows.append(row)
        if len(self._rows) >= _AT_A_TIME:
            self._flush()

    def _flush(self) -> None:
        if self._rows:
            self._conn.execute(_PUT, self._rows)
        self._rows = []


def _taken(row: Any) -> TakenScan:
    return TakenScan(row.station, RawScan(row.number, row.at, row.raw, row.turn, row.after))
