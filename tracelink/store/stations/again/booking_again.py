"""Booking scans again, next to what is recorded of them."""

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import Any

from tracelink.ledger.codec import to_body
from tracelink.ledger.entry import Entry, read_entry
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.packs import RawScan
from tracelink.ledger.proof.chain import JournalRow
from tracelink.ledger.proof.judged import ByEarlierRule, EarlierRule
from tracelink.station.common.outcome import Decision
from tracelink.station.earlier_rules import as_recorded
from tracelink.store.stations.booking import Booking
from tracelink.store.stations.keyed_again import KeyedQueries

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
        if decision.verdict.finding is FindingCode.NOT_RESTED or self._is_recorded_as_not_rested():
            rested = self._by_stations(code, scan, decision)
            if rested is not None:
                return rested
        then = as_recorded(decision, code, scan, self.recorded.ahead(len(decision.acts) + _MOST_WARNINGS))
        self.explained = then.entries
        return then.decision

    def _is_recorded_as_not_rested(self) -> bool:
        ahead = self.recorded.ahead(1)
        return bool(ahead) and ahead[0].body.get("finding") == FindingCode.NOT_RESTED

    def _by_stations(self, code: str, scan: RawScan, now: Decision) -> Decision | None:
        """Return what a scan led to when rest was judged by the clocks of stations alone, if that is what is recorded."""
        queries = self.queries
        assert isinstance(queries, KeyedQueries)
        queries.rests_by_stations = True
        try:
            then = super().judged(code, scan)
        finally:
            queries.rests_by_stations = False
        recorded = self.recorded.ahead(len(then.acts))
        if not _leads_to(then, recorded) or _leads_to(now, self.recorded.ahead(len(now.acts))):
            return None
        self.explained = (ByEarlierRule(EarlierRule.RESTED_BY_STATIONS, recorded[-1].seq),)
        return then


def _leads_to(decision: Decision, recorded: Sequence[Entry]) -> bool:
    """Say whether a decision leads to these entries, whatever the words for the person."""
    return len(recorded) == len(decision.acts) and all(
        entry.kind == act.body.kind and _plain(entry.body) == _plain(to_body(act.body))
        for entry, act in zip(recorded, decision.acts, strict=True)
    )


def _plain(body: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in body.items() if name != "sentence"}
