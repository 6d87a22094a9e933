"""Investigations of what does not add up."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Investigated:
    """One investigation."""

    seq: int
    """Its number, which is that of the entry that opened it."""
    subject: str
    """The lot, sleeve batch, label lot or block of labels."""
    difference: int | None
    """Pieces that were missing (positive) or too many (negative); None if it could not be known."""
    reason: str
    person: str | None
    """Name of the person who opened it."""
    closed_seq: int | None
    """The entry that closed it; None while it is open."""
