"""An honest "cannot tell": why the data do not allow what was asked of them."""

from dataclasses import dataclass
from enum import StrEnum


class Doubt(StrEnum):
    """Why the data do not allow an answer."""

    TOO_FEW = "too-few"
    ALL_ALIKE = "all-alike"
    ALL_GOOD = "all-good"
    ALL_BAD = "all-bad"
    NOT_IN_CONTROL = "not-in-control"
    NOT_NORMAL = "not-normal"
    NO_LIMIT = "no-limit"


@dataclass(frozen=True, slots=True)
class CannotTell:
    """The data do not allow an answer; whoever shows this says so in a sentence and shows no number instead."""

    why: Doubt
    """What stands in the way."""
    found: float
    """What was found: how many points, the value that all share, the first point out of control, the chance p."""
    needed: float
    """What would be needed, where that is a number; else 0."""
