"""How often something was refused for a reason."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FindingCount:
    """One reason."""

    finding: str
    """Code of the finding."""
    times: int
    last: str
    """When it was last, local time with offset."""
