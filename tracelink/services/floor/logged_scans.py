"""Scans of logs booked in one transaction, steady streams of a line without judging each pair."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import takewhile
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
    place = 0
    while place < len(scans):
        station, scan = scans[place]
        place += 1
        if scan.number <= booking.last_number(station):
            continue
        verdict = booking.book(station, scan)
        found[f"stop: {verdict.finding}" if verdict.word is Word.STOP else _outcome(verdict.word)] += 1
        told(station, scan, verdict)
        if verdict.word is Word.MATCH and _comes_again(scans, place):
            alike = booking.go_on(station, _of_station(station, scans, place))
            found += Counter({_outcome(word): alike // 2 for word in (Word.NEXT, Word.MATCH)})
            place += alike
    return found


def _outcome(word: Word) -> str:
    return word.value.lower()


def _comes_again(scans: Sequence[tuple[str, RawScan]], place: int) -> bool:
    """Say whether a line follows that was scanned before the last one; asking for a stream costs as much as judging a scan."""
    return 2 <= place < len(scans) and scans[place][1].raw == scans[place - 2][1].raw


def _of_station(station: str, scans: Sequence[tuple[str, RawScan]], place: int) -> Iterator[RawScan]:
    """Yield the scans from a place on as long as they are of one station."""
    coming = (scans[at] for at in range(place, len(scans)))
    return (scan for _station, scan in takewhile(lambda each: each[0] == station, coming))
