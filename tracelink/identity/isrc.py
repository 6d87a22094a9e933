"""The number of a recording: ISRC. It names what is heard, not the disc that carries it."""

import re
from dataclasses import dataclass
from typing import Self

from tracelink.errors import InvalidFormat

_COMPACT = re.compile(r"([A-Z]{2}[A-Z0-9]{3})([0-9]{2})([0-9]{5})", re.ASCII)
_SHOWN = re.compile(r"(?:ISRC )?([A-Z]{2})-([A-Z0-9]{3})-([0-9]{2})-([0-9]{5})", re.ASCII)


@dataclass(frozen=True, slots=True, order=True)
class Isrc:
    """An International Standard Recording Code.

    It has no check character: a wrong letter or digit, and every swap that keeps letters and digits in their places,
    gives another well-formed code. Only a list of the recordings can tell.
    Source: ISO 3901; IFPI, ISRC structure.
    """

    compact: str
    """12 characters: two letters, three letters or digits, two digits of the year, five digits of designation."""

    def __post_init__(self) -> None:
        if not _COMPACT.fullmatch(self.compact):
            raise InvalidFormat(
                f"ISRC {self.compact!r} has another form: expected 12 characters like AA6Q72000047, "
                "or with hyphens like AA-6Q7-20-00047"
            )

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read an ISRC.

        Args:
            text: 12 characters, or the form for display with all three hyphens and perhaps "ISRC " in front.

        Raises:
            InvalidFormat: text has another form.
        """
        shown = _SHOWN.fullmatch(text)
        return cls("".join(shown.groups()) if shown else text)

    @property
    def prefix(self) -> str:
        """The five characters given to whoever issues the codes."""
        return self.compact[:5]

    @property
    def year(self) -> str:
        """Two digits: the year the code was assigned, not the year of the recording."""
        return self.compact[5:7]

    @property
    def designation(self) -> str:
        """The five digits behind the year."""
        return self.compact[7:]

    def __str__(self) -> str:
        return f"ISRC {self.compact[:2]}-{self.compact[2:5]}-{self.year}-{self.designation}"
