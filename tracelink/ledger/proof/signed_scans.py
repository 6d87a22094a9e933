"""Scans signed where they are made: what is signed, and whether all scans of a station are covered.

Theory of operation
-------------------
A station with a key chains its scans as they are kept: h = SHA-256(0x04, h before, SHA-256 of the canonical JSON list of
station, number, local time and raw text), beginning with 32 zero bytes. At each act, and after `EVERY` scans that only
wait, it signs five lines: what this is, the station, the first and the last number, and the h of the last scan. Then it
begins anew. The key never leaves the station's machine, so whoever can only write to the database can neither change
such a scan nor invent one: numbers go up by one, and each must be covered by one signature of the key that stood then.
Between which entries a key stood the entries of its enrolment and withdrawal say; after which entry a scan was booked,
the scan says (`packs.py`).
"""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Final

import rfc8785

from tracelink.ledger.packs import RawScan
from tracelink.ledger.proof.number_runs import number_runs

CHAIN_DOMAIN: Final = b"\x04"
EVERY: Final = 50
"""So many scans wait at most for a signature."""

_FIRST_LINE: Final = "runout scans of a station, signed where they were made"
_START: Final = bytes(32)


def item_hash(station: str, scan: RawScan) -> bytes:
    """Return the hash of one scan as it is kept, 32 bytes."""
    return hashlib.sha256(rfc8785.dumps([station, scan.number, scan.at, scan.raw])).digest()


def signed_text(station: str, first: int, items: Iterable[bytes]) -> str:
    """Return what a station signs.

    Args:
        station: its code.
        first: number of the first scan.
        items: the hashes of the scans from that on, without a gap.
    """
    head, last = _START, first - 1
    for item in items:
        head, last = hashlib.sha256(CHAIN_DOMAIN + head + item).digest(), last + 1
    return f"{_FIRST_LINE}\n{station}\n{first}\n{last}\n{head.hex()}\n"


@dataclass(frozen=True, slots=True)
class ScanSignature:
    """A signature as it is kept."""

    first: int
    last: int
    key: str
    """The public key, as it was enrolled."""
    value: bytes


@dataclass(slots=True)
class KeyPeriod:
    """A key, and the entries between which it stood."""

    key: str
    enrolled: int
    withdrawn: int | None = None

    def stood(self, after: int) -> bool:
        """Whether a scan that was booked after this entry had to be signed with it."""
        return self.enrolled <= after and (self.withdrawn is None or after < self.withdrawn)


@dataclass(frozen=True, slots=True)
class _Scan:
    item: bytes
    key: str
    """The key that stood."""
    after: int
    waits: bool
    """True if it lies in the spool."""


@dataclass(slots=True)
class StationScans:
    """The scans of one station that must be signed, and the signatures over them, both looked at in order."""

    station: str
    signatures: Iterator[ScanSignature]
    """By first number."""
    periods: list[KeyPeriod] = field(default_factory=list)
    fits: int = 0
    """Scans under a signature that fits."""
    _waiting: dict[int, _Scan] = field(default_factory=dict)
    _next: ScanSignature | None = None
    _bare: list[int] = field(default_factory=list)
    _last: int = 0
    """Number of the last scan under a signature."""
    _last_after: int = 0
    """After which entry that was booked."""
    _odd: list[ScanSignature] = field(default_factory=list)

    def standing(self) -> str | None:
        """Return the key that stands now."""
        return next((each.key for each in self.periods if each.withdrawn is None), None)

    def seen(self, scan: RawScan, *, waits: bool = False) -> None:
        """Take in a scan; one that came while no key stood is passed over."""
        if scan.after is None:
            # A scan without a place among the entries may be one that had to be signed.
            key = self.standing()
        else:
            # Scans come in the order of their numbers: a later one cannot have been booked before the key stood.
            after = max(scan.after, self._last_after) if scan.number > self._last else scan.after
            key = next((each.key for each in self.periods if each.stood(after)), None)
        if key is not None:
            self._waiting[scan.number] = _Scan(item_hash(self.station, scan), key, scan.after or 0, waits)

    def checks(self) -> Iterator[tuple[ScanSignature, str, list[_Scan]]]:
        """Yield each signature all scans of which are there, with the text it must be over, and the scans."""
        while self._waiting:
            due = self._next or next(self.signatures, None)
            if due is None:
                return
            if due.first <= self._last:
                self._odd.append(due)
                self._next = None
                continue
            self._next = due
            for number in sorted(number for number in self._waiting if number < due.first):
                del self._waiting[number]
                self._bare.append(number)
            numbers = range(due.first, due.last + 1)
            if len(numbers) > EVERY or not all(number in self._waiting for number in numbers):
                return
            scans = [self._waiting.pop(number) for number in numbers]
            self._next, self._last, self._last_after = None, due.last, scans[-1].after
            yield due, signed_text(self.station, due.first, (scan.item for scan in scans)), scans

    def finish(self) -> Iterator[str]:
        """Yield a sentence for each run of scans that no signature covers, and for signatures over scans that are not there."""
        rest = [each for each in (self._next, *self.signatures) if each is not None]
        for due in (*self._odd, *rest):
            yield (
                f"station {self.station}: a signature over scans {due.first} to {due.last} covers scans that are not there, or "
                "were signed before"
            )
        for number in sorted(self._waiting):
            scan = self._waiting[number]
            at_the_end = not rest and scan.waits and scan.key == self.standing()
            if not (at_the_end and number > self._last and len(self._waiting) <= EVERY):
                self._bare.append(number)
        for first, last in number_runs(self._bare):
            which = f"scan {first} is" if first == last else f"scans {first} to {last} are"
            yield (
                f"station {self.station}: {which} not signed, though the station had a key then: not made there, or its "
                "signature was taken away"
            )
