"""Giving out label numbers, never twice: by any number of programs at once, and after a crash.

A number is given out by writing its entry inside the write transaction that found it free, and the schema
refuses overlapping blocks besides. A block that was given out and not printed is not given out again; it is
returned, or accounted for as spoiled or destroyed.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import text

from tracelink.errors import RefusedByRule, UsageError
from tracelink.identity.gs1.sscc import Sscc
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import numbered_label
from tracelink.ledger.kinds.label_stock import LabelsCounted, LabelVoided, NumbersIssued, SsccReturned
from tracelink.ledger.kinds.setup import SsccIssued
from tracelink.store.office.office_acts import OfficeAct, authorised
from tracelink.store.stations.answers import SqlStationQueries

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

EXTENSIONS = {"carton": "0", "pallet": "1"}
"""Extension digits of the SSCCs of this program's two kinds of logistic unit; a choice of this program."""

NUMBER_ALPHABET = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Characters of numbers in no order: none of those that are taken for another in print (0 O 1 I)."""

NUMBER_LENGTH = 10
"""Characters of a number in no order: 32 to the 10th of them, so that a guess does not meet one in use."""

_LAST = text("SELECT COALESCE(MAX(last_serial), 0) FROM sscc_block WHERE extension = :extension")
_BLOCK = text(
    "SELECT what FROM sscc_block WHERE extension = :extension AND first_serial <= :first AND last_serial >= :last"
)
_USED = text(
    "SELECT sscc FROM carton WHERE sscc BETWEEN :first AND :last UNION ALL "
    "SELECT sscc FROM pallet WHERE sscc BETWEEN :first AND :last ORDER BY 1 LIMIT 1"
)
_COUNTED = text(
    "SELECT 1 FROM sleeve_batch WHERE code = :subject UNION ALL SELECT 1 FROM material WHERE code = :subject AND what = 'label'"
)


@dataclass(frozen=True, slots=True)
class Clerk:
    """Who acts, when: authorised for the label store."""

    badge: str
    at: str
    recorded_at: str

    @property
    def stamp(self) -> Stamp:
        """The stamp of an entry."""
        return Stamp(self.at, self.recorded_at, person=self.badge)


def clerk(
    booking: Booking, badge: str, at: str, recorded_at: str, act: OfficeAct = OfficeAct.HANDLE_LABELS
) -> Clerk:
    """Return who acts, after looking whether they may.

    Raises:
        RefusedByRule: the badge is not known, or its owner has no role for this act.
    """
    return Clerk(authorised(booking.queries, badge, act).code, at, recorded_at)


def issue_ssccs(booking: Booking, who: Clerk, what: str, count: int) -> tuple[str, str]:
    """Give out the next `count` SSCCs for cartons or pallets; returns the first and the last."""
    extension = EXTENSIONS[what]
    prefix = _prefix(booking)
    last = int(booking.connection.execute(_LAST, {"extension": extension}).scalar_one())
    if last + count >= 10 ** (16 - len(prefix)):
        raise RefusedByRule(f"the SSCCs with extension digit {extension} and prefix {prefix} are used up")
    booking.record(SsccIssued(what, extension, last + 1, last + count), who.stamp)
    first, final = (str(Sscc.build(extension, prefix, serial)) for serial in (last + 1, last + count))
    return first, final


def issue_numbers(booking: Booking, who: Clerk, batch: str, count: int) -> tuple[str, ...]:
    """Give out `count` numbers in no order for a sleeve batch of a numbered edition."""
    found = SqlStationQueries(booking.connection).sleeve_batch(batch)
    if found is None:
        raise UsageError(f"sleeve batch {batch} is not in the system")
    if not found.product.numbered:
        raise RefusedByRule(f'"{found.product.title}" is not a numbered edition')
    if found.first_number is not None:
        raise RefusedByRule(f"sleeve batch {batch} came in with numbers {found.numbers}")
    numbers: set[str] = set()
    while len(numbers) < count:
        numbers.add("".join(secrets.choice(NUMBER_ALPHABET) for _ in range(NUMBER_LENGTH)))
    drawn = tuple(sorted(numbers))
    booking.record(NumbersIssued(batch, found.product.gtin, drawn), who.stamp)
    return drawn


def return_ssccs(booking: Booking, who: Clerk, first: str, last: str) -> int:
    """Take back unused SSCC labels, both ends included; returns how many."""
    prefix = _prefix(booking)
    ends = [Sscc.parse(given).digits for given in (first, last)]
    serials = [Sscc.parse(end).serial_reference(len(prefix)) for end in ends]
    extension = ends[0][0]
    values = {"extension": extension, "first": serials[0], "last": serials[1]}
    if (
        ends[1][0] != extension
        or serials[0] > serials[1]
        or not booking.connection.execute(_BLOCK, values).first()
    ):
        raise UsageError(f"{first} to {last} is not a part of one block that was given out")
    used = booking.connection.execute(_USED, {"first": ends[0], "last": ends[1]}).scalar()
    if used is not None:
        raise RefusedByRule(f"label {used} is in use; only unused labels come back")
    booking.record(SsccReturned(extension, *serials), who.stamp)
    return serials[1] - serials[0] + 1


def count_labels(booking: Booking, who: Clerk, subject: str, fate: str, quantity: int) -> None:
    """Record that so many labels of a batch met this fate."""
    if booking.connection.execute(_COUNTED, {"subject": subject}).first() is None:
        raise UsageError(f"{subject} is neither a sleeve batch nor a label lot in the system")
    booking.record(LabelsCounted(subject, fate, quantity), who.stamp)


def void_sscc(booking: Booking, who: Clerk, sscc: str, reason: str, *, reprint: bool) -> str | None:
    """Make an unused SSCC label void; returns the SSCC that replaces it if a reprint is wanted."""
    queries = SqlStationQueries(booking.connection)
    code = Sscc.parse(sscc).digits
    what = queries.sscc_issued_for(code)
    if what is None:
        raise UsageError(f"SSCC {code} was never issued here")
    if queries.carton(code) is not None or queries.pallet(code) is not None:
        raise RefusedByRule(f"SSCC {code} is on a {what}; a label in use is not voided")
    _refuse_void(queries, code)
    new = issue_ssccs(booking, who, what, 1)[0] if reprint else None
    booking.record(LabelVoided(code, new), who.stamp, reason)
    return new


def void_number(  # noqa: PLR0913  who voids what, and why
    booking: Booking, who: Clerk, batch: str, number: str, reason: str, *, reprint: bool
) -> str | None:
    """Make an unused sleeve number void; returns the number that replaces it if a reprint is wanted."""
    queries = SqlStationQueries(booking.connection)
    found = queries.sleeve_batch(batch)
    if found is None or not queries.is_number_of(found, number):
        raise UsageError(f"sleeve batch {batch} has no number {number!r}")
    if queries.number_use(found.product.gtin, number) is not None:
        raise RefusedByRule(f"sleeve number {number} is packed; a label in use is not voided")
    subject = numbered_label(found.product.gtin, number)
    _refuse_void(queries, subject)
    if reprint and found.first_number is not None:
        raise RefusedByRule(
            f"sleeve batch {batch} is numbered in order; there is no other number {number} to print"
        )
    new = issue_numbers(booking, who, batch, 1)[0] if reprint else None
    booking.record(LabelVoided(subject, new), who.stamp, reason)
    return new


def _refuse_void(queries: SqlStationQueries, subject: str) -> None:
    void = queries.void_label(subject)
    if void is not None:
        raise RefusedByRule(f"label {subject} is void already: {void}")


def _prefix(booking: Booking) -> str:
    return str(booking.connection.execute(text("SELECT company_prefix FROM plant")).scalar_one())
