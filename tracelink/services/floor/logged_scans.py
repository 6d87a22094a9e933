"""Scans of logs booked in one transaction, steady streams of a line without judging each pair."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from tracelink.ledger.packs import RawScan
from tracelink.station.common.outcome import Verdict, Word

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

Told = Callable[[str, RawScan, Verdict], None]
"""Called with station, scan and verdict."""


def book_some(booking: Booking, scans: Sequence[tuple[str, RawScan]], told: Told) -> Counter[str]:
    """Book scans that were not booked before, and return how many had each outcome; of a steady stream none is told."""
    found: Counter[str] = Counter()
    for (station, scan), coming in zip(scans, _coming(scans), strict=True):
        if scan.number <= booking.last_number(station):
            continue
        unjudged = booking.go_on(station, scan)
        if unjudged is not None:
            found[_outcome(unjudged)] += 1
            continue
        verdict = booking.book(station, scan)
        found[f"stop: {verdict.finding}" if verdict.word is Word.STOP else _outcome(verdict.word)] += 1
        told(station, scan, verdict)
        if verdict.word is Word.MATCH and coming is not None:
            booking.begin_stream(station, coming)
    return found


def _outcome(word: Word) -> str:
    return word.value.lower()


def _coming(scans: Sequence[tuple[str, RawScan]]) -> list[str | None]:
    """Return for each scan the line that its station scanned next, None after the last one."""
    following: dict[str, str] = {}
    found: list[str | None] = []
    for station, scan in reversed(scans):
        found.append(following.get(station))
        following[station] = scan.raw
    return found[::-1]
