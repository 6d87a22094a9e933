"""Who comes in by a browser: signing in, browsers that open stations, what was refused."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import asdict, dataclass, field

from sqlalchemy import Connection

from tracelink.clock import local_now, utc_now
from tracelink.errors import RefusedByRule
from tracelink.facts.enrolled_browsers import EnrolledBrowser
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.admission.browser_entries import BrowserEnrolled
from tracelink.report.format.render import Cell
from tracelink.services.badge_proof import Badge, acting, require_pin, stamp_of
from tracelink.store.ledger import Ledger
from tracelink.store.office import browser_enrolment
from tracelink.store.office.office_acts import person_of
from tracelink.store.stations.answers import SqlStationQueries

_SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""None of them is taken for another one when a code is keyed."""
_GROUPS, _GROUP = 6, 4
"""24 of 32 signs: 120 bits, which nobody guesses, and few enough to be keyed once at a tablet."""


@dataclass(frozen=True, slots=True)
class SignedInPerson:
    """Somebody whose badge and PIN were right."""

    badge: str
    """Code of the badge."""
    name: str
    roles: tuple[str, ...]
    """In alphabetical order."""


@dataclass(frozen=True, slots=True)
class NewBrowser:
    """A browser that was enrolled just now."""

    number: int
    """The entry by which it was enrolled."""
    name: str
    station: str | None
    """The one station that it opens; None for every station."""
    secret: str = field(repr=False)
    """What the browser keeps; it is told once and kept nowhere else."""


@dataclass(frozen=True, slots=True)
class BrowserList:
    """Browsers that were enrolled, in that order."""

    browsers: tuple[EnrolledBrowser, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same as plain data."""
        return [asdict(one) for one in self.browsers]


def sign_in(ledger: Ledger, by: Badge) -> SignedInPerson:
    """Look at badge and PIN of somebody who signs in.

    Raises:
        PinRefused: the PIN is wrong.
        RefusedByRule: nobody has that badge, its owner has no PIN, or a wait is not over.
        IdentifierError: the badge is not a plant code.
    """
    with ledger.reading() as conn:
        queries = SqlStationQueries(conn)
        person = person_of(queries, by.code)
        if queries.pin(person.code) is None:
            raise RefusedByRule(
                f"the badge of {person.name} has no PIN, and a badge alone signs nobody in here: quality sets the first PIN"
            )
    require_pin(ledger, person.code, by.pin)
    return SignedInPerson(person.code, person.name, tuple(sorted(person.roles)))


def enrol(ledger: Ledger, name: str, station: str | None, by: Badge, reason: str) -> NewBrowser:
    """Enrol a browser for a station, or for every one.

    Raises:
        UsageError, RefusedByRule: as `store.office.browser_enrolment.enrol`.
    """
    groups = ("".join(secrets.choice(_SIGNS) for _sign in range(_GROUP)) for _group in range(_GROUPS))
    secret = "-".join(groups)
    named = BrowserEnrolled(name, station, _digest(secret))
    with acting(ledger, by) as booking:
        number = browser_enrolment.enrol(booking, stamp_of(by), named, reason)
    return NewBrowser(number, name, station, secret)


def withdraw(ledger: Ledger, number: int, by: Badge, reason: str) -> str:
    """Withdraw a browser; returns its name.

    Raises:
        UsageError, RefusedByRule: as `store.office.browser_enrolment.withdraw`.
    """
    with acting(ledger, by) as booking:
        return browser_enrolment.withdraw(booking, stamp_of(by), number, reason)


def listed(conn: Connection) -> BrowserList:
    """Return all browsers."""
    return BrowserList(tuple(browser_enrolment.browsers(conn)))


def opens(conn: Connection, secret: str, station: str | None) -> bool:
    """Say whether the browser with this secret may open a station; None asks for any."""
    found = browser_enrolment.standing(conn, _digest(secret))
    return found is not None and (station is None or found[1] in (None, station))


def note_refusal(ledger: Ledger, tried: str, sentence: str, person: str | None) -> None:
    """Record that somebody was refused in a browser."""
    with ledger.writing() as booking:
        stamp = Stamp(local_now(), utc_now(), person=person)
        browser_enrolment.note_refusal(booking, stamp, tried, sentence)


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
