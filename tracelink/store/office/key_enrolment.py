"""Enrolling and withdrawing the keys with which stations sign their scans: two people each time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from tracelink.errors import ProofFails, RefusedByRule, UsageError
from tracelink.facts.station_key_list import StationKey
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.access import StationKeyEnrolled, StationKeyWithdrawn
from tracelink.ledger.proof.note import VerifierKey, parse_verifier_key
from tracelink.station.sentences.form_sentences import ONLY_ONE
from tracelink.store.database.tables_keys import station_key
from tracelink.store.office.office_acts import OfficeAct, authorised, second_person
from tracelink.store.stations.scan_signer import standing_key
from tracelink.store.stations.station_list import is_station

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking


def station_keys(conn: Connection) -> list[StationKey]:
    """Return all keys of stations, by station and in the order in which they were enrolled."""
    rows = conn.execute(select(station_key).order_by(station_key.c.station, station_key.c.seq))
    return [StationKey(row.station, row.key, row.seq, row.withdrawn_seq) for row in rows]


def enrol(booking: Booking, stamp: Stamp, text: str, second: str, reason: str) -> VerifierKey:
    """Enrol a key for the station that it is named for; one that stands is replaced.

    Args:
        booking: inside a write transaction.
        stamp: of the act; its person acts.
        text: the public key, as `runout station-key make` shows it.
        second: the badge of the person who agrees.
        reason: why.

    Raises:
        UsageError: it is not a key, or not named for a station.
        RefusedByRule: it was enrolled before, or one of the two may not.
    """
    try:
        key = parse_verifier_key(text)
    except ProofFails as problem:
        raise UsageError(f"{text!r} is not the public key of a station: {problem}") from None
    if not is_station(booking.connection, key.name):
        raise UsageError(f"the key is for station {key.name}, which is not in the system")
    agreed = _agreed(booking, stamp, second)
    if any(one.key == str(key) for one in station_keys(booking.connection)):
        raise RefusedByRule(
            f"key {key.key_id.hex()} of station {key.name} was enrolled before: make a new one"
        )
    replaced = standing_key(booking.connection, key.name)
    booking.record(StationKeyEnrolled(key.name, str(key), replaced, agreed), stamp, reason)
    return key


def withdraw(booking: Booking, stamp: Stamp, station: str, second: str, reason: str) -> str:
    """Withdraw the key that stands for a station; returns it.

    Raises:
        RefusedByRule: none stands, or one of the two may not.
    """
    agreed = _agreed(booking, stamp, second)
    key = standing_key(booking.connection, station)
    if key is None:
        raise RefusedByRule(f"station {station} has no key to withdraw")
    booking.record(StationKeyWithdrawn(station, key, agreed), stamp, reason)
    return key


def _agreed(booking: Booking, stamp: Stamp, second: str) -> str:
    first = authorised(booking.queries, stamp.person, OfficeAct.HANDLE_STATION_KEYS)
    return second_person(booking.queries, second, first, OfficeAct.HANDLE_STATION_KEYS, ONLY_ONE).code
