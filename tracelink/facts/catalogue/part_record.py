"""A part number with its lots, reels, boards and build orders."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LotOfPart:
    """A part lot that came in."""

    code: str
    revision: str
    supplier_lot: str
    quantity: int
    status: str
    at: str
    """When it came, local time with offset."""


@dataclass(frozen=True, slots=True)
class ReelOfPart:
    """A reel with parts of the number."""

    code: str
    revision: str
    holds: int
    used: int


@dataclass(frozen=True, slots=True)
class BuildOfPart:
    """A build order that makes pieces of the number, or places parts of it."""

    code: str
    part: str
    """What it builds."""
    version: str
    quantity: int
    """Pieces ordered."""
    built: int
    """Pieces that were begun."""
    needs: int | None
    """Parts of the number that its bill has for each piece; None for an order that makes the number."""


@dataclass(frozen=True, slots=True)
class PartUse:
    """A bill that has parts of the number."""

    part: str
    """What the bill is of."""
    version: str
    revision: str
    quantity: int
    slot: str


@dataclass(frozen=True, slots=True)
class PartRecord:
    """A part number with all that belongs to it."""

    number: str
    what: str
    """Such as `resistor`."""
    seq: int
    """The entry that brought it in."""
    lots: tuple[LotOfPart, ...]
    reels: tuple[ReelOfPart, ...]
    makes: tuple[BuildOfPart, ...]
    """Build orders whose pieces have this number."""
    takes: tuple[BuildOfPart, ...]
    """Build orders that place parts of it, by their bill."""
    uses: tuple[PartUse, ...]
    """Bills that have it."""
