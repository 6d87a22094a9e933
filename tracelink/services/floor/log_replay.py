"""Recorded scans of stations, booked by the very same path as live ones, or tried out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import asdict, dataclass
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from tracelink.devices.stationlog import StationLog, merged, read_log
from tracelink.errors import BookingUnknown, LedgerError, RefusedByRule, UsageError
from tracelink.ledger.count_words import counted
from tracelink.ledger.packs import RawScan
from tracelink.report.format.plain import visible
from tracelink.report.format.render import Cell
from tracelink.services.floor.logged_scans import book_some
from tracelink.station.common.outcome import Verdict, Word
from tracelink.store.ledger import Ledger
from tracelink.store.stations.claim import StationClaim, station_claim
from tracelink.store.stations.renumbered import first_renumbered
from tracelink.store.stations.scan_signer import signing_state
from tracelink.store.stations.station_list import is_station

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

Steps = Callable[[int, int], None]
"""Called with how many more scans are done, and of how many."""

_CHUNK = 1000
"""Scans to one transaction: enough that the disk is not the limit, few enough that a stop loses little time."""

_SHOWN = 5
"""Stations named where a replay ended before its end."""


@dataclass(frozen=True, slots=True)
class RenumberedScan:
    """A scan of a log whose number was another scan's; it was not booked."""

    file: str
    station: str
    number: int
    raw: str


@dataclass(frozen=True, slots=True)
class CutLog:
    """A log that is not whole."""

    file: str
    last: int
    """Number of its last scan."""
    why: str


@dataclass(frozen=True, slots=True)
class Replayed:
    """What came of the scans of some logs."""

    outcomes: dict[str, int]
    """How many scans had each outcome: a verdict, or a stop with its finding."""
    skipped: int
    """Scans that were booked before."""
    renumbered: tuple[RenumberedScan, ...]
    """The first of each log, if any."""
    cut: tuple[CutLog, ...]

    @property
    def booked(self) -> int:
        """Scans that were booked now."""
        return sum(self.outcomes.values())

    @property
    def stopped(self) -> bool:
        """True if any scan was stopped."""
        return any(name.startswith("stop") for name in self.outcomes)

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout replay --format json`."""
        return [{"outcome": name, "scans": count} for name, count in sorted(self.outcomes.items())]


@dataclass(frozen=True, slots=True)
class TriedStop:
    """A scan that would be stopped."""

    at: str
    station: str
    scan: int
    """Its number."""
    raw: str
    """As it came; what is not printable is shown."""
    finding: str | None
    sentence: str


@dataclass(frozen=True, slots=True)
class LogTrial:
    """What the scans of some logs would come to; nothing was booked."""

    stops: tuple[TriedStop, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout replay --trial --format json`."""
        return [asdict(stop) for stop in self.stops]


def replay(ledger: Ledger, files: Sequence[str | Path], steps: Steps) -> Replayed:
    """Book the scans of some logs, in the order of their times; each once, however often it is replayed.

    Raises:
        UsageError: a log cannot be read or does not follow what was booked, or two of a station overlap.
        RefusedByRule: a log has new scans of a station that signs its scans, or that is open in a terminal; nothing was
            booked of any log.
        StationTaken: a station was opened in a terminal meanwhile; what was booked before is booked.
    """
    logs = _bookable_logs(ledger, files)
    with _alone_at(ledger, logs) as claims:
        outcomes: Counter[str] = Counter()
        try:
            _book(ledger, logs, claims, outcomes, steps)
        except LedgerError as problem:
            if claims:
                problem.add_note(_booked_so_far(logs, claims, outcomes.total(), problem))
            raise
    skipped = sum(len(log.scans) for log in logs) - outcomes.total()
    strange: tuple[RenumberedScan, ...] = ()
    if skipped:
        with ledger.reading() as conn:
            strange = _renumbered(conn, logs)
    cut = tuple(CutLog(str(log.file), log.last, log.cut) for log in logs if log.cut)
    return Replayed(dict(outcomes), skipped, strange, cut)


def try_out(ledger: Ledger, files: Sequence[str | Path], steps: Steps) -> LogTrial:
    """Book the scans of some logs in one transaction that is taken back.

    Raises:
        UsageError, RefusedByRule: as for `replay`.
    """
    logs = _bookable_logs(ledger, files)
    todo = list(merged(logs))
    stops: list[TriedStop] = []

    def told(station: str, scan: RawScan, verdict: Verdict) -> None:
        if verdict.word is Word.STOP:
            stop = (scan.at, station, scan.number, visible(scan.raw), verdict.finding, verdict.sentence)
            stops.append(TriedStop(*stop))

    with ledger.dry_run() as booking:
        for start in range(0, len(todo), _CHUNK):
            chunk = todo[start : start + _CHUNK]
            book_some(booking, chunk, told)
            steps(len(chunk), len(todo))
    return LogTrial(tuple(stops))


def _bookable_logs(ledger: Ledger, files: Sequence[str | Path]) -> list[StationLog]:
    logs = _logs(files)
    with ledger.reading() as conn:
        _refuse_signed(conn, logs)
    return logs


def _logs(files: Sequence[str | Path]) -> list[StationLog]:
    """Read some logs; two of one station must not hold the same scan numbers."""
    logs = [read_log(Path(file)) for file in files]
    for log, other in ((log, other) for place, log in enumerate(logs) for other in logs[:place]):
        if log.station != other.station or log.file == other.file or not (log.scans and other.scans):
            continue
        # The numbers of a log go up by one, so that its first and last say which it holds.
        first = max(log.scans[0].number, other.scans[0].number)
        if first <= min(log.last, other.last):
            raise UsageError(
                f"{log.file} and {other.file} both hold scan {first} of station {log.station}: give one of them"
            )
    return logs


def _refuse_signed(conn: Connection, logs: Sequence[StationLog]) -> None:
    """Refuse new scans of a station that signs them, before anything is booked."""
    for log in logs:
        state = signing_state(conn, log.station)
        new = sum(scan.number > state.booked for scan in log.scans)
        if state.key is not None and new:
            raise RefusedByRule(
                f"log {log.file} is of station {log.station}, which signs its scans with a key on its own machine, and a log "
                f"cannot be signed: {counted(new, 'scan')} of it cannot be booked. Nothing was booked of any log. Make the scans "
                f"again at the station; or two people withdraw its key (runout station-key withdraw {log.station}), and what "
                "is replayed then is not signed"
            )


@contextmanager
def _alone_at(ledger: Ledger, logs: Sequence[StationLog]) -> Iterator[Mapping[str, StationClaim]]:
    """Be the only program at each station that has new scans, by station, while the block runs."""
    with ledger.reading() as conn:
        new = sorted(
            {
                log.station
                for log in logs
                if is_station(conn, log.station) and log.last > signing_state(conn, log.station).booked
            }
        )
    with ExitStack() as held:
        claims = {station: held.enter_context(station_claim(ledger.place, station)) for station in new}
        with ledger.reading() as conn:
            for station, claim in claims.items():
                claim.begins_at(signing_state(conn, station).booked)
        yield claims


def _require_alone(booking: Booking, claims: Mapping[str, StationClaim]) -> None:
    for station, claim in claims.items():
        claim.require(booking.connection, booking.last_number(station))


def _book(
    ledger: Ledger,
    logs: list[StationLog],
    claims: Mapping[str, StationClaim],
    outcomes: Counter[str],
    steps: Steps,
) -> None:
    todo, count = merged(logs), sum(len(log.scans) for log in logs)
    while chunk := list(islice(todo, _CHUNK)):
        with ledger.writing() as booking:
            _require_alone(booking, claims)
            found = book_some(booking, chunk, lambda _station, _scan, _verdict: None)
            last = {station: booking.last_number(station) for station in claims}
        for station, claim in claims.items():
            claim.booked(last[station])
        # Counted only now: a transaction that did not come through has booked nothing.
        outcomes.update(found)
        steps(len(chunk), count)


def _booked_so_far(
    logs: Sequence[StationLog], claims: Mapping[str, StationClaim], booked: int, problem: LedgerError
) -> str:
    """Say what of some logs is booked, where a replay ended before its end."""
    last = {log.station: log.last for log in sorted(logs, key=lambda log: log.last)}
    each = [f"{station} up to scan {claim.last} of {last[station]}" for station, claim in claims.items()]
    left_out = f" and {counted(len(each) - _SHOWN, 'more station')}" if len(each) > _SHOWN else ""
    unknown = (
        f"; whether the {_CHUNK} scans after these are is not known"
        if isinstance(problem, BookingUnknown)
        else ""
    )
    return (
        f"Of these logs {counted(booked, 'scan')} had been booked by then ({', '.join(each[:_SHOWN])}{left_out}){unknown}. The "
        "same command again books what is missing, and nothing twice"
    )


def _renumbered(conn: Connection, logs: list[StationLog]) -> tuple[RenumberedScan, ...]:
    """Name each log with a scan whose number was another scan's, so that none is lost unseen."""
    first = [(log, first_renumbered(conn, log.station, log.scans)) for log in logs]
    return tuple(
        RenumberedScan(str(log.file), log.station, scan.number, scan.raw)
        for log, scan in first
        if scan is not None
    )
