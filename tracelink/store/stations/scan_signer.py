"""Signing the scans of a station on its own machine, with a key in a file that only its owner may read.

Scans that wait for a signature are kept beside the key as well, in a file of lines, so that a station that was stopped
signs afterwards what it made itself, and nothing else. The signature is written in the transaction of the scan that
is signed last: what is booked with an act is signed with it, or neither is.
"""

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, bindparam, func, select

from tracelink.errors import RefusedByRule, StorageFailed, UsageError
from tracelink.ledger.packs import RawScan
from tracelink.ledger.proof.note import Note
from tracelink.ledger.proof.signed_scans import EVERY, item_hash, signed_text
from tracelink.store.database.engine import ledger_url
from tracelink.store.database.tables_keys import scan_signature, station_key
from tracelink.store.database.tables_stations import station as station_table
from tracelink.store.journal.keys import SigningKey, held_key
from tracelink.store.statements import short_reads
from tracelink.store.statements.short_writes import write

_STANDING = select(station_key.c.key).where(
    station_key.c.station == bindparam("station"), station_key.c.withdrawn_seq.is_(None)
)
_SIGNED = select(func.max(scan_signature.c.last)).where(scan_signature.c.station == bindparam("station"))
_BOOKED = select(station_table.c.last_number).where(station_table.c.code == bindparam("station"))
_SIGN = scan_signature.insert()


@dataclass(frozen=True, slots=True)
class SigningState:
    """How far the scans of a station are signed."""

    key: str | None
    """The key that stands; None if it signs nothing."""
    signed: int
    """Number of the last scan that is signed."""
    booked: int
    """Number of the last scan that is booked."""


def signing_state(conn: Connection, station: str) -> SigningState:
    """Return how far the scans of a station are signed."""
    values = {"station": station}
    signed = conn.execute(_SIGNED, values).scalar()
    booked = conn.execute(_BOOKED, values).scalar()
    return SigningState(standing_key(conn, station), signed or 0, booked or 0)


def standing_key(conn: Connection, station: str) -> str | None:
    """Return the key that a station must sign with now; None if it signs nothing."""
    row = short_reads.kept_first(conn, _STANDING, {"station": station})
    return None if row is None else str(row.key)


def require_no_key(conn: Connection, station: str) -> None:
    """Refuse a scan without a signature at a station that signs its scans."""
    if standing_key(conn, station) is not None:
        raise RefusedByRule(
            f"station {station} signs its scans: they are made at its own live station, with its key, and not replayed"
        )


def station_key_place(ledger: str, station: str, given: str | Path | None = None) -> Path | None:
    """Return where the key of a station is: as given, or beside the ledger's file; None on a database server."""
    if given is not None:
        return Path(given)
    url = ledger_url(ledger)
    is_file = url.get_backend_name() == "sqlite" and url.database
    return Path(f"{url.database}.{station}.key") if is_file else None


class ScanSigner:
    """Signs the scans of one station while it runs."""

    def __init__(self, station: str, key: SigningKey, file: Path, state: SigningState) -> None:
        """Take up the scans that this machine made and did not sign yet.

        Args:
            station: its code.
            key: the one that stands.
            file: where it lies; the scans that wait lie beside it.
            state: how far its scans are signed.
        """
        self._station = station
        self._key = key
        self._public = str(key.verifier)
        self._beside = file.with_name(f"{file.name}.scans")
        self._waiting = {
            scan.number: scan for scan in _kept(self._beside) if state.signed < scan.number <= state.booked
        }
        self._signed = 0

    def took(self, conn: Connection, scan: RawScan, *, acted: bool) -> None:
        """Take in a scan as it is kept, in the transaction that books it, and sign if it is time.

        Args:
            conn: the connection of the transaction.
            scan: as it is kept.
            acted: whether it led to an entry.

        Raises:
            StorageFailed: the file beside the key cannot be written.
            RefusedByRule: the key was withdrawn since the station was opened.
        """
        if standing_key(conn, self._station) != self._public:
            raise RefusedByRule(
                f"the key of station {self._station} was withdrawn or replaced: nothing is booked with it any more"
            )
        # A scan of that number or a later one was made before and not booked.
        for number in [number for number in self._waiting if number >= scan.number]:
            del self._waiting[number]
        self._waiting[scan.number] = scan
        _add(self._beside, scan)
        if not acted and len(self._waiting) < EVERY:
            return
        for first, scans in _runs(self._waiting):
            items = [item_hash(self._station, each) for each in scans]
            row = {
                "station": self._station,
                "first": first,
                "last": scans[-1].number,
                "key": self._public,
                "signature": self._key.sign(signed_text(self._station, first, items)).value,
            }
            write(conn, _SIGN, row)
        self._signed = scan.number

    def note(self, text: str) -> Note:
        """Return a text signed with the key of the station."""
        return Note(text, (self._key.sign(text),))

    def booked(self) -> None:
        """Forget what is signed; call after the commit."""
        if self._signed:
            self._waiting = {number: one for number, one in self._waiting.items() if number > self._signed}
            self._signed = 0
            _clear(self._beside)

    def not_booked(self) -> None:
        """Remember that the last scan was not booked after all."""
        self._signed = 0

    def settled(self, state: SigningState) -> None:
        """Go by what the ledger says, after a scan of which nobody knew whether it was booked."""
        self._waiting = {
            number: one for number, one in self._waiting.items() if state.signed < number <= state.booked
        }


@contextmanager
def scan_signer(state: SigningState, station: str, file: Path | None) -> Iterator[ScanSigner | None]:
    """Hold the key of a station while it runs.

    Args:
        state: how far the scans of the station are signed.
        station: its code.
        file: the file with its key, as given or where it should lie; None if nobody said.

    Raises:
        RefusedByRule: the station must sign and no key is here, it is another's or was withdrawn, others may read the
            file, or no key stands for the station.
        UsageError: the file holds no key.
    """
    standing = state.key
    if standing is None and (file is None or not file.exists()):
        yield None
        return
    if standing is None:
        raise RefusedByRule(
            f"{file} holds a key that is not valid for station {station}: it was never enrolled, or was withdrawn. If it is new, "
            "enrol it with `runout station-key enrol`; if not, move the file away"
        )
    if file is None or not file.exists():
        raise RefusedByRule(
            f"station {station} signs its scans, and its key is not here: expected it in "
            f"{file or 'a file named with --key'}"
        )
    with held_key(file) as held:
        _require_own(held.key, station, standing, file)
        yield ScanSigner(station, held.key, file, state)


def _require_own(key: SigningKey, station: str, standing: str, file: Path) -> None:
    if key.name != station:
        raise RefusedByRule(f"{file} holds the key of station {key.name}: expected that of station {station}")
    if str(key.verifier) != standing:
        raise RefusedByRule(
            f"{file} holds key {key.verifier.key_id.hex()} of station {station}, which is withdrawn or was never enrolled: "
            f"expected key {standing.split('+')[1]}"
        )


def _kept(file: Path) -> list[RawScan]:
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        return []
    except OSError as problem:
        raise StorageFailed(f"{file} cannot be read: {problem.strerror}") from None
    lines = data.splitlines()
    # The last line may have been cut by a crash: then its scan was not booked either.
    whole = lines if not lines or lines[-1].endswith(b"]") else lines[:-1]
    try:
        return [_kept_scan(line) for line in whole]
    except (ValueError, RecursionError):
        raise UsageError(
            f"{file} is damaged: expected the scans that wait for a signature, one on each line. Move it away, and keep it"
        ) from None


def _kept_scan(line: bytes) -> RawScan:
    match json.loads(line):
        case [number, str(at), str(raw)] if type(number) is int:
            return RawScan(number, at, raw)
    raise ValueError(line)


def _add(file: Path, scan: RawScan) -> None:
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND | os.O_CLOEXEC, 0o600)
        with os.fdopen(handle, "a", encoding="utf-8") as opened:
            opened.write(json.dumps([scan.number, scan.at, scan.raw]) + "\n")
    except OSError as problem:
        raise StorageFailed(f"{file} cannot be written: {problem.strerror}") from None


def _clear(file: Path) -> None:
    try:
        os.truncate(file, 0)
    except OSError as problem:
        raise StorageFailed(f"{file} cannot be written: {problem.strerror}") from None


def _runs(waiting: dict[int, RawScan]) -> Iterator[tuple[int, list[RawScan]]]:
    """Yield the waiting scans in runs without a gap, none longer than may be signed at once."""
    run: list[RawScan] = []
    for number in sorted(waiting):
        if run and (number != run[-1].number + 1 or len(run) == EVERY):
            yield run[0].number, run
            run = []
        run.append(waiting[number])
    if run:
        yield run[0].number, run


@contextmanager
def kept_in_mind(signer: ScanSigner | None) -> Iterator[None]:
    """Tell a signer whether what it signed was booked."""
    try:
        yield
    except BaseException:
        if signer is not None:
            signer.not_booked()
        raise
    if signer is not None:
        signer.booked()
