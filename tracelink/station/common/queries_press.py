"""What mending at a press asks the ledger, and the facts it gets back."""

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class LastRange:
    """The last strokes of a lot that left the press counter for a stack or were thrown out as trial discs."""

    entry: int
    """The entry that moved them."""
    line: int
    """Number of the movement within its entry, from 0."""
    place: str
    """A spindle card, or set-up."""
    first: int
    last: int
    rests: str | None
    """What was recorded since that rests on it, in words; None if nothing was."""


class PressQueries(Protocol):
    """Questions of the press room; a part of `facts.StationQueries`."""

    def last_range(self, lot: str) -> LastRange | None:
        """The last strokes of a lot that were stacked or thrown out as trial discs."""
        ...

    def is_stack(self, spindle: str) -> bool:
        """Return whether discs were put on a spindle at the press, not only loose ones that came back."""
        ...

    def sampled_from(self, lot: str, stroke: int) -> tuple[str, int] | None:
        """The last sample of a lot from this stroke on, with its stroke."""
        ...
