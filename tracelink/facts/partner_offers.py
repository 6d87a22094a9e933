"""What the events of a partner offer for booking, and what became of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

CAME_IN = frozenset({"receiving", "accepting", "arriving"})
"""Business steps that say something came to a place."""


class UnfitEvent(Exception):  # noqa: N818  a verdict on an event, caught where events are booked
    """A thing of an event cannot be booked; the text says why."""


class Says(Enum):
    """What an event is to the ledger."""

    REFUSED = "refused"
    NOTED = "noted"
    RECEIPT = "receipt"
    WITHDRAWN = "withdrawn"
    """An error declaration: its sender takes back the event of this number."""


@dataclass(frozen=True, slots=True)
class Offered:
    """One thing that an event names."""

    uri: str
    code: str | None
    """A plant code, or the 18 digits of an SSCC; None if it is neither."""
    gtin: str | None
    """13 digits, if the name holds a GTIN."""
    quantity: str | None
    """As written; None if it is one piece or not told."""
    uom: str | None
    told: bool = False
    """True if a person said which code it has here."""


@dataclass(frozen=True, slots=True)
class Offer:
    """One event of a document."""

    place: int
    """In the list, from 1."""
    event_id: str
    """As given; empty if it has none."""
    content: str
    """SHA-256 of the event's canonical JSON without errorDeclaration and recordTime, hexadecimal."""
    at: str
    """Its eventTime as written; empty if it has none."""
    says: Says
    sentence: str
    """Why it is refused or what it is."""
    things: tuple[Offered, ...]
    words: Mapping[str, str]
    """What `ilmd` says, by name without prefix."""
    raw: str
    """The event as JSON text."""


@dataclass(frozen=True, slots=True)
class EventOutcome:
    """What became of one event."""

    place: int
    event_id: str
    verdict: str
    """booked, noted, before (it was taken earlier), refused, changed or withdrawn."""
    sentence: str
