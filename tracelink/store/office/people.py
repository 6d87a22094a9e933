"""People at the desk: setting a PIN, and proving one at a command."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import Connection, text

from tracelink.errors import RefusedByRule
from tracelink.facts.badge_owners import BadgeOwner
from tracelink.ledger import pins
from tracelink.ledger.closed_sets import PlantField
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.access import PinGiven, PinKeyReplaced, PinReplaced, PinSet
from tracelink.station.badge_pin import check
from tracelink.station.common.outcome import Refused
from tracelink.station.common.station_facts import Person
from tracelink.station.sentences.form_sentences import ONLY_ONE
from tracelink.store.office.office_acts import OfficeAct, authorised, person_of, second_person
from tracelink.store.stations.answers import SqlStationQueries

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

_PEOPLE = text(
    "SELECT p.code, p.name, n.seq, n.failures, n.failed_at FROM person p LEFT JOIN person_pin n ON n.person = p.code "
    "ORDER BY p.code"
)
_PINS = text("SELECT COUNT(*) FROM person_pin")


@dataclass(frozen=True, slots=True)
class PinProof:
    """What came of a PIN that was given."""

    sentence: str
    """What refuses; empty if the PIN is right."""
    is_recorded: bool
    """True if it is an entry; one that was not looked at is none."""


def prove(booking: Booking, stamp: Stamp, digits: str) -> PinProof:
    """Check the PIN of the stamp's person, and record what came of it; the caller commits either way."""
    person = person_of(booking.queries, stamp.person or "")
    booking.queries.recording = stamp.recorded_at
    try:
        found = check(person, digits, stamp.event_time, booking.queries)
    except Refused as refused:
        return PinProof(refused.finding.sentence, is_recorded=False)
    # A wrong PIN is nobody's act: it only claims to be this person's.
    proven = isinstance(found.body, PinGiven)
    booking.record(found.body, stamp if proven else replace(stamp, person=None))
    return PinProof(found.sentence, is_recorded=True)


@dataclass(frozen=True, slots=True)
class SecondOfTwo:
    """Who else agrees to give somebody another PIN; any PIN of theirs has been checked."""

    badge: str
    reason: str


@dataclass(frozen=True, slots=True)
class NewPin:
    """Who is to have a PIN, and which."""

    badge: str
    digits: str
    agreed: SecondOfTwo | None = None
    """Needed where the owner has a PIN and another person sets the next."""


def set_pin(booking: Booking, stamp: Stamp, new: NewPin, key: bytes) -> Person:
    """Set somebody's PIN; who sets it has been authorised, and any PIN of theirs checked.

    Args:
        booking: the write transaction.
        stamp: with who sets it.
        new: whose PIN it is, and which.
        key: the ledger's secret key.

    Raises:
        RefusedByRule: the badge is not known, or whoever sets it is neither its owner with a PIN nor of quality, or
            nobody else of quality agrees where somebody must.
        InvalidFormat: the digits may not be a PIN.
    """
    queries = booking.queries
    person, by = person_of(queries, new.badge), person_of(queries, stamp.person or "")
    pin = queries.pin(person.code)
    changes_own = by.code == person.code and pin is not None
    # One that was made with a lost key counts no more: two people answered for the new key.
    stands = pin is not None and pin.verifier.key_id == pins.key_id(key)
    if not changes_own and "quality" not in by.roles:
        raise RefusedByRule(
            f"{by.name} may not set the PIN of {person.name}: the first PIN, and one that was forgotten, is set by "
            "somebody with the role quality"
        )
    if stands and not changes_own:
        if new.agreed is None:
            raise RefusedByRule(
                f"{by.name} may not give {person.name} another PIN alone: whoever sets a PIN knows it. The owner changes it with the "
                "old one; one that was forgotten is set by two people of quality, with a reason"
            )
        other = second_person(queries, new.agreed.badge, by, OfficeAct.REPLACE_PIN, ONLY_ONE)
        booking.record(PinReplaced(person.code, other.code), stamp, new.agreed.reason)
    salt = secrets.token_bytes(pins.SALT_BYTES)
    kept = pins.make_verifier(key, person.code, pins.require_pin(new.digits), salt)
    booking.record(PinSet(person.code, pin is None, kept), stamp)
    return person


def replace_key(booking: Booking, stamp: Stamp, second: str, key: bytes, reason: str) -> None:
    """Record that two people made another secret key, because the one of the PINs is lost.

    Args:
        booking: the write transaction.
        stamp: with who acts.
        second: badge of the person who agrees.
        key: the new key.
        reason: why.

    Raises:
        RefusedByRule: one of the two is not of quality, or they are one person.
    """
    queries, act = booking.queries, OfficeAct.REPLACE_PIN_KEY
    first = authorised(queries, stamp.person, act)
    other = second_person(queries, second, first, act, ONLY_ONE)
    standing = int(booking.connection.execute(_PINS).scalar_one())
    booking.record(PinKeyReplaced(pins.key_id(key), standing, other.code), stamp, reason)


def people(conn: Connection) -> list[BadgeOwner]:
    """Return everybody with a badge: roles now, since which entry they have a PIN, wrong PINs in a row, until when it counts."""
    queries, found = SqlStationQueries(conn), []
    for row in conn.execute(_PEOPLE):
        person = queries.person(row.code)
        assert person is not None
        roles = ", ".join(sorted(person.roles))
        until = queries.first_change(row.code, PlantField.BADGE)
        found.append(BadgeOwner(row.code, row.name, roles, row.seq, row.failures, row.failed_at, until))
    return found
