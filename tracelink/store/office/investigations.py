"""Opening and closing investigations of what does not add up, by a named person."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Row, text

from tracelink.errors import RefusedByRule, UsageError
from tracelink.facts.investigation_list import Investigated
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.balance import InvestigationClosed, InvestigationOpened
from tracelink.store.office.office_acts import OfficeAct, authorised

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

_OPEN_ABOUT = text("SELECT seq FROM investigation WHERE subject = :subject AND closed_seq IS NULL")
_ONE = text("SELECT subject, closed_seq FROM investigation WHERE seq = :seq")
_LAST = text("SELECT MAX(seq) FROM journal")
_LIST = text(
    "SELECT seq, subject, difference, reason, person, closed_seq FROM investigation "
    "WHERE (CAST(:closed AS INTEGER) = 1 OR closed_seq IS NULL) ORDER BY seq"
)


def listed(conn: Connection, *, closed: bool) -> list[Investigated]:
    """Return the investigations, oldest first; closed ones only if wanted."""
    return [Investigated(*row) for row in conn.execute(_LIST, {"closed": int(closed)})]


def find_investigation(conn: Connection, number: int) -> Row[*tuple[Any, ...]]:
    """Return what an investigation is about (`subject`), and which entry closed it (`closed_seq`).

    Raises:
        UsageError: no investigation has that number.
    """
    row = conn.execute(_ONE, {"seq": number}).first()
    if row is None:
        raise UsageError(f"there is no investigation {number}: runout investigate list shows them")
    return row


def open_one(booking: Booking, stamp: Stamp, subject: str, difference: int | None, reason: str) -> int:
    """Open an investigation; returns its number, which is that of its entry.

    Raises:
        RefusedByRule: the person is not known, or an investigation of this subject is open already.
    """
    authorised(booking.queries, stamp.person, OfficeAct.OPEN_INVESTIGATION)
    found = booking.connection.execute(_OPEN_ABOUT, {"subject": subject}).scalar()
    if found is not None:
        raise RefusedByRule(f"investigation {found} of {subject} is open already")
    booking.record(InvestigationOpened(subject, difference), stamp, reason)
    return int(booking.connection.execute(_LAST).scalar_one())


def close_one(booking: Booking, stamp: Stamp, number: int, reason: str) -> str:
    """Close an investigation; returns what it was about.

    Raises:
        UsageError: no investigation has that number.
        RefusedByRule: it is closed already, or the person has not the role quality.
    """
    authorised(booking.queries, stamp.person, OfficeAct.CLOSE_INVESTIGATION)
    row = find_investigation(booking.connection, number)
    if row.closed_seq is not None:
        raise RefusedByRule(f"investigation {number} was closed by entry {row.closed_seq}")
    booking.record(InvestigationClosed(number), stamp, reason)
    return str(row.subject)
