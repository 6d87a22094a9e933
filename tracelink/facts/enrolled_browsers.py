"""Browsers that may open stations, as they are listed."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EnrolledBrowser:
    """One browser."""

    number: int
    """The entry by which it was enrolled."""
    name: str
    """What people call it."""
    station: str | None
    """The one station that it opens; None for every station."""
    person: str
    """Badge of who enrolled it."""
    at: str
    """When, RFC 3339 with offset."""
    reason: str
    withdrawn_by: int | None
    """Entry; None if it stands."""
