"""What is said of a code: one part after the other, each judged or not."""

from dataclasses import dataclass
from enum import Enum


class CodeVerdict(Enum):
    """What came of a part."""

    RIGHT = "right"
    WRONG = "WRONG"
    NOT_JUDGED = "not judged"
    TOLD = ""
    """Nothing to judge: what the part means."""


@dataclass(frozen=True, slots=True)
class CodePart:
    """One thing that is said of a code."""

    what: str
    """What the part is: "symbology", "(10) BATCH/LOT", "plant code" ..."""
    value: str
    """Characters of the code."""
    judged: CodeVerdict
    says: str
    """What it means, or why it is wrong."""


@dataclass(frozen=True, slots=True)
class ReadCode:
    """A code, and all that is said of it."""

    text: str
    """Characters as given or read."""
    source: str
    """The picture or file that it stands in; empty if it was given itself."""
    parts: tuple[CodePart, ...]

    @property
    def is_wrong(self) -> bool:
        """Whether something of it is not what it must be."""
        return any(part.judged is CodeVerdict.WRONG for part in self.parts)
