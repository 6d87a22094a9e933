"""What came of checking one bound of a written scope."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

BoundKey = tuple[str, str, str | None]
"""Kind, code and, for a container, the lot of a bound."""


class CheckVerdict(StrEnum):
    """What came of checking one bound."""

    CONFIRMED = "confirmed"
    """An assignment reaches it and prices show that nothing goes beyond it, on both sides."""
    ONE_SIDED = "one-sided"
    """Nothing is wrong, but something is not shown in the file: only the solver, or only the records, say so."""
    NOT_LOOKED_AT = "not looked at"
    """There was no time left to check it; nothing is known of it."""
    FAILS = "fails"
    """The file does not show what it claims, or claims what the movements contradict."""


@dataclass(frozen=True, slots=True)
class BoundCheck:
    """The check of one bound."""

    kind: str
    """container, place, together, or the kind of a group."""
    code: str
    """Code of the container, group, place or set that is bounded."""
    verdict: CheckVerdict
    """Whether the bound was confirmed."""
    why: str
    """A sentence; empty if it is confirmed."""
