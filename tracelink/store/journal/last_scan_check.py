"""Whether the table of each station's last scan says what the scans themselves say.

The table is no shadow of the journal, but a rule goes by it: a code that is read twice counts once. So each of its rows is held
against the scan of that number, where it lies: in the spool, or packed beside an entry.

An older program kept no row, and an upgraded ledger still has none of a station where nobody scanned since. A program of today
keeps one with each scan, and no older one opens the ledger again. So a row is missing wherever the station scanned later than
some scan that such a program booked: one that has its row, or one after an entry of a kind that is younger than the table. Where
no row at all is kept nothing is told: a group's copy of a plant has none.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import Connection, select

from tracelink.ledger.entry import Entry
from tracelink.ledger.kinds.admission.browser_entries import BrowserEnrolled
from tracelink.ledger.kinds.assembly.assembly_setup import PartKindNamed
from tracelink.ledger.kinds.assembly.placing_entries import MachineSetUp
from tracelink.ledger.kinds.measuring.chart_entries import ChartSignalled
from tracelink.ledger.kinds.measuring.lab_test_entries import GaugeEntered, LabTestNamed, LimitSet
from tracelink.ledger.kinds.measuring.plan_entries import DiscMissed
from tracelink.ledger.kinds.process.process_setup import ProcessDefined
from tracelink.ledger.kinds.station import ClockStepped, SignedOff
from tracelink.ledger.packs import PackedScans, RawScan
from tracelink.store.database.columns import given_text
from tracelink.store.database.tables_stations import last_scan, station

_ROWS = select(
    last_scan.c.station, last_scan.c.number, last_scan.c.at, last_scan.c.raw, station.c.last_number
).join_from(last_scan, station, station.c.code == last_scan.c.station, isouter=True)
_BOOKED = (
    select(station.c.code, station.c.last_number).where(station.c.last_number > 0).order_by(station.c.code)
)

_YOUNGER_KINDS = frozenset(
    each.kind
    for each in (
        BrowserEnrolled, ChartSignalled, ClockStepped, DiscMissed, GaugeEntered, LabTestNamed, LimitSet, MachineSetUp, PartKindNamed,
        ProcessDefined, SignedOff,
    )
)  # fmt: skip
"""Kinds of entries that no program wrote before there was the table; those that many plants have."""


class LastScanCheck:
    """Keeps of each station the scans in which its last one lies, and compares the table with it."""

    def __init__(self) -> None:
        self._packed: dict[str, tuple[int, PackedScans]] = {}
        self._waiting: dict[str, RawScan] = {}
        self._younger: int | None = None

    def entry(self, entry: Entry, scans: PackedScans) -> None:
        """Take an entry, in the order of the journal, with the scans beside it."""
        if self._younger is None and entry.kind in _YOUNGER_KINDS:
            self._younger = entry.seq
        code, numbers = entry.stamp.station, scans.numbers
        if code is not None and numbers and numbers[-1] >= self._packed.get(code, (0, scans))[0]:
            self._packed[code] = numbers[-1], scans

    def spooled(self, row: Mapping[str, Any]) -> None:
        """Take a scan of the spool, in the order of their numbers."""
        self._waiting[row["station"]] = RawScan(
            row["number"], row["at"], row["raw"], row["turn"], row["after"]
        )

    def sentences(self, live: Connection) -> Iterator[str]:
        """Yield a sentence for each row that says something else than the scan, and for each that is not there.

        Args:
            live: the ledger.
        """
        kept: dict[str, RawScan | None] = {}
        for code, number, at, raw, booked in live.execute(_ROWS):
            scan = kept[code] = self._scan(code, number)
            if number != booked:
                yield f"last_scan {code}: number is {number}, the station's last scan is {booked}"
            elif scan is not None and (scan.at, scan.raw) != (at, given_text(raw)):
                yield f"last_scan {code}: scan {number} is not the one that was booked"
        if kept:
            yield from self._missing(live, kept)

    def _missing(self, live: Connection, kept: Mapping[str, RawScan | None]) -> Iterator[str]:
        first = min(
            [scan.turn for scan in kept.values() if scan is not None and scan.turn is not None], default=None
        )
        for code, number in live.execute(_BOOKED):
            scan = None if code in kept else self._scan(code, number)
            if scan is not None and self._had_a_row(scan, first):
                yield f"last_scan {code}: there is no row, and scan {number} of the station left one"

    def _had_a_row(self, scan: RawScan, first: int | None) -> bool:
        """Say whether a program booked a scan that keeps a row; `first` is the earliest turn of such a scan that is known."""
        if scan.turn is None or scan.after is None:
            return False
        return (first is not None and scan.turn > first) or (
            self._younger is not None and scan.after >= self._younger
        )

    def _scan(self, code: str, number: int) -> RawScan | None:
        """Return a scan; None if it is not there, which is told where scans are counted."""
        waiting = self._waiting.get(code)
        if waiting is not None and waiting.number == number:
            return waiting
        last = self._packed.get(code)
        return last[1].scans[-1] if last is not None and last[0] == number else None
