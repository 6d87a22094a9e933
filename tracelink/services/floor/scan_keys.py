"""The keys with which stations sign their scans: made on their machine, enrolled and withdrawn by two people."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.facts.station_key_list import StationKey
from tracelink.report.format.render import Cell
from tracelink.services.badge_proof import Badge, acting, require_pin, stamp_of
from tracelink.services.upkeep.signing import KeyFile
from tracelink.store.journal.keys import make_key
from tracelink.store.ledger import Ledger
from tracelink.store.office import key_enrolment
from tracelink.store.stations.scan_signer import station_key_place
from tracelink.store.stations.station_list import require_station


@dataclass(frozen=True, slots=True)
class StationKeys:
    """Keys of stations, by station and in the order in which they were enrolled."""

    keys: tuple[StationKey, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout station-key list --format json`."""
        return [asdict(one) for one in self.keys]


def listed(conn: Connection) -> StationKeys:
    """Return the keys of all stations."""
    return StationKeys(tuple(key_enrolment.station_keys(conn)))


def make(ledger: Ledger, station: str, file: str | Path | None) -> KeyFile:
    """Make the key of a station in a file that only its owner may read; it counts once it is enrolled.

    Raises:
        UsageError: there is no such station, the file exists, or it must be named.
        StorageFailed: it cannot be written.
    """
    with ledger.reading() as conn:
        require_station(conn, station)
    place = station_key_place(ledger.place, station, file)
    if place is None:
        raise UsageError(f"{ledger.place} is on a database server: name the file of the station's key")
    return KeyFile(place, str(make_key(place, station)))


def enrol(ledger: Ledger, key: str, by: Badge, second: Badge, reason: str) -> str:
    """Enrol a key; returns the code of its station. It replaces the one that stood.

    Raises:
        UsageError, RefusedByRule: as `store.office.key_enrolment.enrol`.
    """
    require_pin(ledger, second.code, second.pin)
    with acting(ledger, by) as booking:
        return key_enrolment.enrol(booking, stamp_of(by), key, second.code, reason).name


def withdraw(ledger: Ledger, station: str, by: Badge, second: Badge, reason: str) -> str:
    """Withdraw the key of a station; returns its public half.

    Raises:
        RefusedByRule: as `store.office.key_enrolment.withdraw`.
    """
    require_pin(ledger, second.code, second.pin)
    with acting(ledger, by) as booking:
        return key_enrolment.withdraw(booking, stamp_of(by), station, second.code, reason)
