"""Who acts by command or by another program: a badge, and its PIN."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tracelink.clock import local_now, utc_now
from tracelink.errors import PinRefused, RefusedByRule, UsageError
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.entry import Stamp
from tracelink.ledger.times import require_local_time

if TYPE_CHECKING:
    from tracelink.store.ledger import Ledger
    from tracelink.store.stations.booking import Booking

# What looks PINs up is imported when it is called: saying who acts must not pay for the ledger.

Pin = str | Callable[[], str]
"""The digits of a PIN, or what asks a person for them; it is asked only if the badge has a PIN."""


def require_pin_or_asker(name: str, pin: object) -> None:
    """Raise UsageError unless this is a PIN, what asks for one, or nothing."""
    if pin is not None and not isinstance(pin, str) and not callable(pin):
        # Not shown: it may be a PIN all the same, given as a number.
        raise UsageError(
            f"{name} is of type {type(pin).__name__}: expected text, or a function that asks for it"
        )


@dataclass(frozen=True, slots=True)
class Badge:
    """Who acts.

    Raises:
        UsageError: the code is not text.
    """

    code: str
    """Code of the badge."""
    pin: Pin | None = None
    """The PIN, if the badge has one."""

    def __post_init__(self) -> None:
        if not isinstance(self.code, str):
            raise UsageError(f"Badge.code is {self.code!r}: expected text")
        require_pin_or_asker("Badge.pin", self.pin)


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
        require_pin_or_asker("DecidedBy.pin", self.pin)


def require_pin(ledger: Ledger, by: str, pin: Pin | None) -> None:
    """Check the PIN of a badge if its owner has one; call before the transaction of the act.

    A wrong PIN is an entry of its own, whatever becomes of the act. An unknown badge passes: the act refuses it.

    Args:
        ledger: open for writing.
        by: the badge.
        pin: its digits, or what asks for them; None if nobody said.

    Raises:
        PinRefused: the PIN is wrong.
        RefusedByRule: it comes too early after wrong ones, or cannot be looked at.
        UsageError: a PIN is needed and none was given.
        IdentifierError: the badge is not a plant code.
    """
    from tracelink.store.office.people import prove  # noqa: PLC0415
    from tracelink.store.stations.answers import SqlStationQueries  # noqa: PLC0415

    badge = PlantCode.parse(by).text
    with ledger.reading() as conn:
        if SqlStationQueries(conn).pin(badge) is None:
            return
    if pin is None:
        raise UsageError(f"badge {badge} has a PIN: give it as pin")
    digits = digits_of(pin)
    with ledger.writing() as booking:
        proof = prove(booking, Stamp(local_now(), utc_now(), person=badge), digits)
    if proof.sentence:
        raise (PinRefused if proof.is_recorded else RefusedByRule)(proof.sentence)


def digits_of(pin: Pin) -> str:
    """Return the digits of a PIN, asking for them if that is what was given."""
    return pin if isinstance(pin, str) else pin()


@contextmanager
def acting(ledger: Ledger, by: Badge) -> Iterator[Booking]:
    """Open a write transaction for an act of the owner of a badge, whose PIN is checked before.

    Raises:
        RefusedByRule, UsageError, IdentifierError: as `require_pin`.
    """
    require_pin(ledger, by.code, by.pin)
    with ledger.writing() as booking:
        yield booking


def stamp_of(by: Badge, at: str | None = None) -> Stamp:
    """Return the stamp of an act.

    Args:
        by: who acts.
        at: when it was, RFC 3339 with offset; None for now.

    Raises:
        IdentifierError: the badge is not a plant code, or the time has no offset.
    """
    badge = PlantCode.parse(by.code).text
    return Stamp(local_now() if at is None else require_local_time(at), utc_now(), person=badge)
