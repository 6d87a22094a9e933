"""The keys with which stations sign their scans, as they are listed."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StationKey:
    """One key."""

    station: str
    key: str
    """Its public half: name+id+base64."""
    enrolled_by: int
    """Entry."""
    withdrawn_by: int | None
    """Entry; None if it stands."""
