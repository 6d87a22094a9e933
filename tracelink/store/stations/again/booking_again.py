"""Booking scans again, next to what is recorded of them."""

from collections import deque
from collections.abc import Iterator
from itertools import islice

from tracelink.ledger.entry import Entry, read_entry
from tracelink.ledger.packs import RawScan
from tracelink.ledger.proof.chain import JournalRow
from tracelink.ledger.proof.judged import ByEarlierRule
from tracelink.station.common.outcome import Decision
from tracelink.station.earlier_rules import as_recorded
from tracelink.store.stations.booking import Booking

_MOST_WARNINGS = 8
"""Charts on which one value is a signal, at most: kinds of charts of two stampers and a press, of which few have baselines."""


class RecordedEntries:
    """The entries of the journal, one after the other."""

    def __init__(self, rows: Iterator[JournalRow]) -> None:
        """Take them from their rows."""
        self._rows = rows
        self._ahead: deque[tuple[JournalRow, Entry]] = deque()

    def ahead(self, most: int) -> list[Entry]:
        """Return the next entries without taking them."""
        for row in islice(self._rows, max(0, most - len(self._ahead))):
            self._ahead.append((row, read_entry(row.canonical)))
        return [entry for _row, entry in islice(self._ahead, most)]

    def take(self) -> tuple[JournalRow, Entry]:
        """Take the next entry, of which it is known that it is there."""
        self.ahead(1)
        return self._ahead.popleft()


class BookingAgain(Booking):
    """Books what is recorded where a rule of an earlier program explains it."""

    recorded: RecordedEntries
    explained: tuple[ByEarlierRule, ...] = ()
    """Of the scan that was judged last."""

    def judged(self, code: str, scan: RawScan) -> Decision:
        """Return what a scan led to then; as it would now, but where an earlier rule explains what is recorded."""
        decision, self.explained = super().judged(code, scan), ()
        if not decision.acts:
            return decision
        then = as_recorded(decision, code, scan, self.recorded.ahead(len(decision.acts) + _MOST_WARNINGS))
        self.explained = then.entries
        return then.decision
