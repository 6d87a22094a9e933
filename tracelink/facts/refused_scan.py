"""What a station refused."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RefusedScan:
    """One finding: an act that was refused, or a count that does not add up."""

    seq: int
    """The entry that keeps it."""
    at: str
    """When, local time with offset."""
    station: str | None
    """Where; None for what came by a command, a browser or a file."""
    person: str | None
    """The badge that was signed on."""
    finding: str
    """Code of the finding."""
    subject: str | None
    """Code or text of the thing that was refused."""
    expected: str | None
    found: str | None
    sentence: str
    """What the person was told."""
