"""Everybody with a badge, and giving somebody a PIN."""

from __future__ import annotations

import secrets
from dataclasses import asdict, dataclass

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.facts.badge_owners import BadgeOwner
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger import pins
from tracelink.report.format.render import Cell
from tracelink.services.badge_proof import Badge, Pin, digits_of, require_pin, stamp_of
from tracelink.store.journal.pin_key import key_file, make_key, read_key, write_key
from tracelink.store.ledger import Ledger
from tracelink.store.office.people import NewPin, SecondOfTwo, people, replace_key, set_pin
from tracelink.store.stations.answers import SqlStationQueries


@dataclass(frozen=True, slots=True)
class PeopleList:
    """Everybody with a badge."""

    owners: tuple[BadgeOwner, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout person list --format json`."""
        return [asdict(owner) for owner in self.owners]


@dataclass(frozen=True, slots=True)
class PinChanged:
    """A PIN was set."""

    name: str
    """Name of its owner."""
    asked_at_stations: bool
    """True if the stations of this plant ask for it (setting badge_pin)."""


def everybody(conn: Connection) -> PeopleList:
    """Return everybody with a badge, by code."""
    return PeopleList(tuple(people(conn)))


@dataclass(frozen=True, slots=True)
class NewPinKey:
    """The PIN key is lost, and another one is made: an act of two people, by which no older PIN is right.

    Raises:
        UsageError: the reason is empty.
    """

    second: str
    """Badge of the person of quality who agrees."""
    reason: str

    def __post_init__(self) -> None:
        if not self.reason.strip():
            raise UsageError("the reason for a new PIN key is empty: expected why")


@dataclass(frozen=True, slots=True)
class PinReplacement:
    """Somebody forgot a PIN, and another one is set: an act of two people, who then both know of it.

    Raises:
        UsageError: the reason is empty.
    """

    second: Badge
    """The person of quality who agrees."""
    reason: str

    def __post_init__(self) -> None:
        if not self.reason.strip():
            raise UsageError("the reason for another PIN is empty: expected why")


def change_pin(
    ledger: Ledger,
    badge: str,
    pin: Pin,
    by: Badge,
    agreed: NewPinKey | PinReplacement | None = None,
) -> PinChanged:
    """Give the owner of a badge a PIN, after looking who sets it.

    Args:
        ledger: open for writing.
        badge: whose PIN it is.
        pin: the digits, or what asks for them.
        by: who sets it.
        agreed: if the PIN key is lost, who makes another one. No PIN can be checked without the lost one, so two
            people of quality answer for it, and a finding tells everybody. Or, if the owner has a PIN and cannot give it,
            who else sets another one, with a finding as well.

    Raises:
        RefusedByRule, InvalidFormat, UsageError: as `store.office.people.set_pin` and `require_pin`; or the key
            is not where it must be.
    """
    code, who = PlantCode.parse(badge).text, PlantCode.parse(by.code).text
    place = ledger.place
    if isinstance(agreed, NewPinKey):
        return _with_new_key(ledger, code, pin, by, agreed)
    key = _key(ledger, place)
    require_pin(ledger, who, by.pin)
    second = None if agreed is None else _second(ledger, agreed)
    new = NewPin(code, digits_of(pin), second)
    with ledger.writing() as booking:
        owner = set_pin(booking, stamp_of(by), new, key)
        asks = booking.queries.setting("badge_pin")
    return PinChanged(owner.name, bool(asks))


def _second(ledger: Ledger, agreed: PinReplacement) -> SecondOfTwo:
    require_pin(ledger, agreed.second.code, agreed.second.pin)
    return SecondOfTwo(PlantCode.parse(agreed.second.code).text, agreed.reason)


def _with_new_key(ledger: Ledger, badge: str, pin: Pin, by: Badge, new_key: NewPinKey) -> PinChanged:
    place = ledger.place
    if read_key(place) is not None:
        raise UsageError(f"there is a PIN key in {key_file(place)}: --new-key is for one that is lost")
    digits, key = digits_of(pin), secrets.token_bytes(pins.KEY_BYTES)
    stamp = stamp_of(by)
    with ledger.writing() as booking:
        replace_key(booking, stamp, PlantCode.parse(new_key.second).text, key, new_key.reason)
        owner = set_pin(booking, stamp, NewPin(badge, digits), key)
        asks = booking.queries.setting("badge_pin")
    # Only now: a key without its entry would be one that nobody hears of, and an entry without its key is made anew.
    write_key(place, key)
    return PinChanged(owner.name, bool(asks))


def _key(ledger: Ledger, place: str) -> bytes:
    found = read_key(place)
    if found is not None:
        return found
    with ledger.reading() as conn:
        if SqlStationQueries(conn).pins_in_use():
            raise UsageError(
                f"the PIN key {key_file(place)} is not here, and there are PINs that were set with it: bring it back, "
                "or give --new-key and set every PIN anew"
            )
    return make_key(place)
