"""Are the scans of stations with a key signed by it? Looked at entry by entry, while the journal is read."""

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, select

from tracelink.errors import ProofFails
from tracelink.ledger.entry import Entry
from tracelink.ledger.kinds.access import StationKeyEnrolled, StationKeyWithdrawn
from tracelink.ledger.packs import PackedScans, RawScan
from tracelink.ledger.proof.note import parse_verifier_key
from tracelink.ledger.proof.signed_scans import KeyPeriod, ScanSignature, StationScans
from tracelink.store.database.tables_keys import scan_signature
from tracelink.store.journal.keys import is_signed

_AT_A_TIME = 1000


class SignedCheck:
    """Looks at the scans of every station that signs."""

    def __init__(self, live: Connection) -> None:
        """Args: live: the ledger; only its signatures are asked for."""
        self._live = live
        self._stations: dict[str, StationScans] = {}
        self._group: tuple[str | None, int | None] = (None, None)
        self._before = 0
        """Last entry before those of the scan that the last entry followed from."""

    def entry(self, entry: Entry, packed: PackedScans) -> Iterator[str]:
        """Yield what is wrong with the signatures that the scans of an entry complete.

        Args:
            entry: the next one.
            packed: its raw scans; asked only where its station has a key.
        """
        if entry.kind in (StationKeyEnrolled.kind, StationKeyWithdrawn.kind):
            self._key(entry)
        group = (entry.stamp.station, entry.stamp.station_seq)
        if group != self._group or group[0] is None:
            self._group, self._before = group, entry.seq - 1
        at = self._stations.get(str(entry.stamp.station))
        if at is not None and entry.scans is not None:
            for scan in packed.scans:
                yield from self._misplaced(entry, scan)
                at.seen(scan)
            yield from _faults(at)

    def _misplaced(self, entry: Entry, scan: RawScan) -> Iterator[str]:
        """A scan that led to an entry was booked right before it; another place could hide that a key stood."""
        if scan.number == entry.stamp.station_seq and scan.after not in (None, self._before):
            yield (
                f"entry {entry.seq} ({entry.kind}): its scan says that it was booked after entry {scan.after}: expected "
                f"entry {self._before}"
            )

    def waiting(self, row: dict[str, Any]) -> None:
        """Take in a scan that is not sealed yet."""
        at = self._stations.get(row["station"])
        if at is not None:
            at.seen(RawScan(row["number"], row["at"], row["raw"], row["turn"], row["after"]), waits=True)

    def finish(self) -> Iterator[str]:
        """Yield what is wrong at the end; call once, after all entries and scans."""
        for at in self._stations.values():
            yield from _faults(at)
            yield from at.finish()
        for station in self._live.execute(select(scan_signature.c.station).distinct()).scalars():
            if station not in self._stations:
                yield f"station {station}: scans are signed, but it never had a key"

    def _key(self, entry: Entry) -> None:
        station, key = str(entry.body.get("station")), str(entry.body.get("key"))
        at = self._stations.get(station)
        if at is None:
            at = self._stations[station] = StationScans(station, self._signatures(station))
        for period in at.periods:
            period.withdrawn = entry.seq if period.withdrawn is None else period.withdrawn
        if entry.kind == StationKeyEnrolled.kind:
            at.periods.append(KeyPeriod(key, entry.seq))

    def _signatures(self, station: str) -> Iterator[ScanSignature]:
        first = 0
        while True:
            query = (
                select(scan_signature)
                .where(scan_signature.c.station == station, scan_signature.c.first > first)
                .order_by(scan_signature.c.first)
                .limit(_AT_A_TIME)
            )
            chunk = self._live.execute(query).all()
            for row in chunk:
                yield ScanSignature(row.first, row.last, row.key, bytes(row.signature))
            if len(chunk) < _AT_A_TIME:
                return
            first = chunk[-1].first


def _faults(at: StationScans) -> Iterator[str]:
    for signature, text, scans in at.checks():
        where = f"station {at.station}: the signature over scans {signature.first} to {signature.last}"
        if any(scan.key != signature.key for scan in scans):
            yield f"{where} is by a key that was not valid then"
        elif not _fits(signature, text):
            yield f"{where} does not fit: one of them was changed, or was not made there"
        else:
            at.fits += len(scans)


def _fits(signature: ScanSignature, text: str) -> bool:
    try:
        return is_signed(parse_verifier_key(signature.key), signature.value, text.encode())
    except ProofFails:
        return False
