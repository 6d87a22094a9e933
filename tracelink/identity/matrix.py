"""Matrix numbers: the text etched in a disc's run-out, typed or read by eye, in a form each plant sets."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from tracelink.errors import InvalidFormat, InvalidLength, UsageError

LONGEST = 40
"""Most characters of a matrix number after normalising."""

# Hyphen look-alikes that keyboards, phones and word processors put in place of "-".
_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe58\ufe63\uff0d"
_SMALL = "abcdefghijklmnopqrstuvwxyz"
# Only ASCII letters are raised: str.upper() would turn a sharp s into SS and a dotless i into I, unseen.
_RAISE = str.maketrans(_SMALL + _DASHES, _SMALL.upper() + "-" * len(_DASHES))
_ALIKE = str.maketrans("OI", "01")


def _require_printable(text: str) -> None:
    for character in text:
        if ord(character) < 32 or 127 <= ord(character) < 160:
            raise InvalidFormat(
                f"matrix number {text!r} holds the control character {character!r}; expected letters, digits and marks"
            )


@dataclass(frozen=True, slots=True)
class MatrixGrammar:
    """The plant's form of a matrix number.

    The pattern is a regular expression and is the plant's own; one that backtracks without end would be slow,
    though on no more than 40 characters.
    """

    pattern: str
    """Regular expression the whole normalised text must match (capitals, single spaces, "-")."""

    example: str
    """A matrix number of this form, shown to whoever typed a wrong one."""

    _compiled: re.Pattern[str] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        try:
            compiled = re.compile(self.pattern, re.ASCII)
        except re.error as error:
            raise UsageError(
                f"matrix pattern {self.pattern!r} is not a regular expression: {error}"
            ) from error
        object.__setattr__(self, "_compiled", compiled)
        if not compiled.fullmatch(self.normalise(self.example)):
            raise UsageError(
                f"matrix example {self.example!r} does not match its own pattern {self.pattern!r}"
            )

    def normalise(self, text: str) -> str:
        """Return text in capitals, with single spaces, plain hyphens and no space at either end.

        Letters outside A-Z stay as they are, to be refused by `parse`. O and 0, I and 1 are never swapped.
        """
        return " ".join(text.translate(_RAISE).split())

    def parse(self, text: str) -> str:
        """Return the normalised matrix number.

        Args:
            text: as typed, 1 to 40 characters after normalising; any dash, any spacing, any letter case.

        Raises:
            InvalidFormat: text is empty, holds control or non-ASCII characters, or has another form.
            InvalidLength: text is too long.
        """
        _require_printable(text)
        normal = self.normalise(text)
        if not normal:
            raise InvalidFormat(f"matrix number is empty; expected a form like {self.example!r}")
        if not normal.isascii():
            strange = next(c for c in normal if not c.isascii())
            raise InvalidFormat(
                f"matrix number {text!r} holds {strange!r}; expected letters A-Z, digits and marks as in {self.example!r}"
            )
        if len(normal) > LONGEST:
            raise InvalidLength(
                f"matrix number {normal!r} has {len(normal)} characters; expected at most {LONGEST}"
            )
        if not self._compiled.fullmatch(normal):
            raise InvalidFormat(
                f"matrix number {normal!r} is not of this plant's form; expected a form like {self.example!r}"
            )
        return normal

    def likely(self, text: str, known: Iterable[str]) -> list[str]:
        """List the known matrix numbers that differ from text only in O for 0 or I for 1, sorted.

        Args:
            text: as typed.
            known: matrix numbers of the ledger.
        """
        normal = self.normalise(text)
        folded = normal.translate(_ALIKE)
        candidates = {other: self.normalise(other) for other in known}
        return sorted(
            other
            for other, theirs in candidates.items()
            if theirs != normal and theirs.translate(_ALIKE) == folded
        )
