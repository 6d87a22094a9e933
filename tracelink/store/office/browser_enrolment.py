"""Browsers: which may open a station, and what was refused in one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from tracelink.errors import RefusedByRule, UsageError
from tracelink.facts.enrolled_browsers import EnrolledBrowser
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.admission.browser_entries import AccessRefused, BrowserEnrolled, BrowserWithdrawn
from tracelink.store.database.tables_access import browser
from tracelink.store.journal import journal
from tracelink.store.office.office_acts import OfficeAct, authorised
from tracelink.store.stations.station_list import is_station

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking


def browsers(conn: Connection) -> list[EnrolledBrowser]:
    """Return all browsers that were ever enrolled, in that order."""
    return [
        EnrolledBrowser(row.seq, row.name, row.station, row.person, row.at, row.reason, row.withdrawn_seq)
        for row in conn.execute(select(browser).order_by(browser.c.seq))
    ]


def standing(conn: Connection, digest: str) -> tuple[str, str | None] | None:
    """Return name and station of the browser that a secret belongs to; None if none stands.

    Args:
        conn: a connection inside a transaction.
        digest: SHA-256 of the secret, hexadecimal.
    """
    row = conn.execute(
        select(browser.c.name, browser.c.station).where(
            browser.c.digest == digest, browser.c.withdrawn_seq.is_(None)
        )
    ).first()
    return None if row is None else (row.name, row.station)


def enrol(booking: Booking, stamp: Stamp, named: BrowserEnrolled, reason: str) -> int:
    """Enrol a browser; returns the entry, which is its number.

    Raises:
        UsageError: there is no such station.
        RefusedByRule: the person may not.
    """
    authorised(booking.queries, stamp.person, OfficeAct.ENROL_BROWSERS)
    if named.station is not None and not is_station(booking.connection, named.station):
        raise UsageError(f"station {named.station} is not in the system")
    booking.record(named, stamp, reason)
    return journal.head(booking.connection).seq


def withdraw(booking: Booking, stamp: Stamp, number: int, reason: str) -> str:
    """Withdraw a browser; returns its name.

    Raises:
        UsageError: no browser has that number.
        RefusedByRule: it was withdrawn before, or the person may not.
    """
    authorised(booking.queries, stamp.person, OfficeAct.ENROL_BROWSERS)
    row = booking.connection.execute(select(browser).where(browser.c.seq == number)).first()
    if row is None:
        raise UsageError(f"no browser was enrolled by entry {number}")
    if row.withdrawn_seq is not None:
        raise RefusedByRule(f"browser {row.name} was withdrawn by entry {row.withdrawn_seq}")
    booking.record(BrowserWithdrawn(number), stamp, reason)
    return str(row.name)


def note_refusal(booking: Booking, stamp: Stamp, tried: str, sentence: str) -> None:
    """Record that somebody was refused; the stamp's person is who was signed in."""
    booking.record(AccessRefused(tried, sentence), stamp)
