"""Whether the table of each station's last scan says what the scans themselves say.

The table is no shadow of the journal, but a rule goes by it: a code that is read twice counts once. So each of its rows is held
against the scan of that number, where it lies: in the spool, or packed beside an entry. An older program kept no row.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import Connection, select

from tracelink.ledger.packs import PackedScans
from tracelink.store.database.columns import given_text
from tracelink.store.database.tables_stations import last_scan, station

_ROWS = select(
    last_scan.c.station, last_scan.c.number, last_scan.c.at, last_scan.c.raw, station.c.last_number
).join_from(last_scan, station, station.c.code == last_scan.c.station, isouter=True)


class LastScanCheck:
    """Keeps of each station the scans in which its last one lies, and compares the table with it."""

    def __init__(self) -> None:
        self._packed: dict[str, tuple[int, PackedScans]] = {}
        self._waiting: dict[str, tuple[int, str, str]] = {}

    def packed(self, code: str, scans: PackedScans) -> None:
        """Take the scans beside an entry of a station."""
        numbers = scans.numbers
        if numbers and numbers[-1] >= self._packed.get(code, (0, scans))[0]:
            self._packed[code] = numbers[-1], scans

    def spooled(self, row: Mapping[str, Any]) -> None:
        """Take a scan of the spool, in the order of their numbers."""
        self._waiting[row["station"]] = row["number"], row["at"], row["raw"]

    def sentences(self, live: Connection) -> Iterator[str]:
        """Yield a sentence for each row that says something else than the scan.

        Args:
            live: the ledger.
        """
        for code, number, at, raw, booked in live.execute(_ROWS):
            if number != booked:
                yield f"last_scan {code}: number is {number}, the station's last scan is {booked}"
            elif (scan := self._scan(code, number)) is not None and scan != (at, given_text(raw)):
                yield f"last_scan {code}: scan {number} is not the one that was booked"

    def _scan(self, code: str, number: int) -> tuple[str, str] | None:
        """Return time and text of a scan; None if it is not there, which is told where scans are counted."""
        waiting = self._waiting.get(code)
        if waiting is not None and waiting[0] == number:
            return waiting[1:]
        last = self._packed.get(code)
        if last is None or last[0] != number:
            return None
        return last[1].scans[-1].at, last[1].scans[-1].raw
