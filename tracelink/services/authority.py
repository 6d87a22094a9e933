"""Who acts by command or by another program: the PIN of a badge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tracelink.errors import UsageError
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import Ledger, local_now, utc_now
from tracelink.store.office.people import prove
from tracelink.store.stations.answers import SqlStationQueries

Pin = str | Callable[[], str]
"""The digits of a PIN, or what asks a person for them; it is asked only if the badge has a PIN."""


@dataclass(frozen=True, slots=True)
class DecidedBy:
    """The person who decides, and why.

    Raises:
        UsageError: a badge or reason is empty.
    """

    by: str
    """Code of the badge."""
    reason: str
    """Why, in a few words; kept with the entry."""
    pin: Pin | None = None
    """The PIN, if the badge has one."""
    at: str | None = None
    """When it was decided, RFC 3339 with offset; None for now."""

    def __post_init__(self) -> None:
        for name, value in (("by", self.by), ("reason", self.reason)):
            if not isinstance(value, str) or not value.strip():
                raise UsageError(f"DecidedBy.{name} is {value!r}: expected text")


def has_pin(ledger: Ledger, by: str) -> bool:
    """Return whether a badge has a PIN; a badge that is not known has none, and the act's own rule refuses it.

    Raises:
        IdentifierError: it is no code.
    """
    badge = PlantCode.parse(by).text
    with ledger.reading() as conn:
        return SqlStationQueries(conn).pin(badge) is not None


def prove_pin(ledger: Ledger, by: str, digits: str) -> str:
    """Check a PIN, in a transaction before that of the act: a wrong one is recorded, whatever becomes of the act.

    Returns:
        A sentence that refuses; empty if the PIN is right.
    """
    badge = PlantCode.parse(by).text
    with ledger.writing() as booking:
        return prove(booking, Stamp(local_now(), utc_now(), person=badge), digits)
