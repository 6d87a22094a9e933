"""What stops a lot and what was made of it: open holds, and cases that it is in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tracelink.facts.scope_records import HoldLine


@dataclass(frozen=True, slots=True)
class CaseOfLot:
    """A containment case whose newest scope names a lot or its containers."""

    code: str
    cause: str
    """What it asks about."""
    reason: str
    opened_at: str
    """RFC 3339 with offset."""
    closed_entry: int | None
    """The entry that closed it; None while it is open."""
    proven: int
    """Discs of the lot affected for certain, by its newest scope."""
    possible: int
    """Discs of the lot possibly affected."""
    cartons: int
    """Cartons that may hold one of them."""


@dataclass(frozen=True, slots=True)
class LotStops:
    """Holds and cases about what a page or a picture shows."""

    holds: tuple[HoldLine, ...] = ()
    """Holds on anything shown, lifted ones too."""
    cases: tuple[CaseOfLot, ...] = ()
    """Cases, the oldest first."""
    by_thing: Mapping[str, str] = field(default_factory=dict)
    """Thing -> the open hold that names it."""


NO_STOPS = LotStops()
"""Nothing is known of holds and cases."""
