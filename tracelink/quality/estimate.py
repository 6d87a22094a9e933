"""An estimated number with its interval."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number with the interval that holds it at the confidence asked for."""

    value: float
    """The estimate."""
    low: float
    """Lower end of the interval."""
    high: float
    """Upper end."""
