"""What a station says to a scan: a verdict for the person, acts for the journal."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any

from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody


class Word(Enum):
    """The big word of a verdict; it differs by word and by mark, not by colour alone."""

    MATCH = "MATCH"
    NEXT = "NEXT"
    DONE = "DONE"
    STOP = "STOP"


def counted(number: int, noun: str) -> str:
    """Return a quantity with its unit, such as "1 disc" or "12 discs"."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the person sees and hears after a scan."""

    word: Word
    sentence: str
    """One sentence a tired person can act on."""
    count: str = ""
    """How far the job is, such as "12 of 25 in carton"."""
    finding: FindingCode | None = None
    """Finding code of a refusal."""
    hides: bool = False
    """What is keyed next is a PIN: it must not be shown."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is not as it should be."""

    code: FindingCode
    subject: str
    expected: str
    found: str
    sentence: str


class Refused(Exception):  # noqa: N818  it is the name of a verdict, not of a fault of ours
    """A rule stops the scan. Raised deep in a list of rules, caught once in `machine.decide`."""

    def __init__(
        self, code: FindingCode, sentence: str, *, subject: str, expected: str = "", found: str = ""
    ) -> None:
        super().__init__(sentence)
        self.finding = Finding(code, subject, expected, found, sentence)


@dataclass(frozen=True, slots=True)
class Act:
    """Something accepted (or refused) that becomes one journal entry."""

    body: EntryBody
    reason: str | None = None
    corrects: int | None = None
    takes: int | None = None
    """How many of the oldest spooled scans are packed with this entry; None for all that are left.

    Scans that no act takes stay in the spool: a refusal does not disturb an unfinished act.
    """


@dataclass(frozen=True, slots=True)
class Spooled:
    """A scan that is committed at once but sealed into an entry later."""

    fact: Mapping[str, Any]
    """What the scan means to its station (JSON), enough to bring the state back after a crash."""
    spindle: str | None = None
    lot: str | None = None
    carton: str | None = None
    sleeve_number: str | None = None
    """These four are filled for a match, so that the disc counts at once."""


@dataclass(frozen=True, slots=True)
class Decision:
    """All that follows from one scan."""

    verdict: Verdict
    acts: tuple[Act, ...] = ()
    spooled: Spooled | None = None
    """Set when the scan itself waits in the spool; otherwise it is packed with the last act.

    A state is brought back by replaying entries first and the spool after them, so an entry written while
    older scans stay in the spool must not undo what those scans mean.
    """
    secret: bool = False
    """The raw line is a PIN: a fixed mark is kept in its place."""
