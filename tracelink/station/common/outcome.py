"""What a station says to a scan: a verdict for the person, acts for the journal."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any

from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody
from tracelink.station.sentences.thing_names import part_of, put_aside


class Word(Enum):
    """The big word of a verdict; it differs by word and by mark, not by colour alone."""

    MATCH = "MATCH"
    NEXT = "NEXT"
    DONE = "DONE"
    STOP = "STOP"


@dataclass(frozen=True, slots=True)
class UnitPart:
    """How far a unit is that has some of its pieces and not all."""

    done: int
    of: int
    """Pieces of the unit that are scanned."""

    def __str__(self) -> str:
        return part_of(self.done, self.of)


@dataclass(frozen=True, slots=True)
class LinePanel:
    """What a packing line shows beside every verdict; each line is empty text where there is nothing to say."""

    product: str
    """What is packed, by title and catalogue number: editions of one title look alike."""
    left: str
    """Discs left on each open spindle."""
    check: str
    """Units since a second person looked."""
    read: str
    """The last code that was read."""


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
    part: UnitPart | None = None
    """Set when a piece was matched and its unit is not finished by it."""
    panel: LinePanel | None = None
    """Set for whoever stands at a packing line."""


@dataclass(frozen=True, slots=True)
class PutAside:
    """What to do with a wrong piece at a line, and what the line takes instead of STOP."""

    pieces: str
    """What is put aside: "it", or "this sleeve" while the disc in hand is right."""
    or_scan: str = ""
    """What may be scanned to go on; empty if only STOP helps."""

    @property
    def sentence(self) -> str:
        """What the person is told to do."""
        return put_aside(self.pieces, self.or_scan)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is not as it should be."""

    code: FindingCode
    subject: str
    expected: str
    found: str
    told: str
    """What is wrong, and what to do about it unless `aside` says that."""
    aside: PutAside | None = None
    """Set for a wrong piece at a line."""

    @property
    def sentence(self) -> str:
        """All that the person is told."""
        return self.told if self.aside is None else f"{self.told} {self.aside.sentence}"


class Refused(Exception):  # noqa: N818  it is the name of a verdict, not of a fault of ours
    """A rule stops the scan. Raised deep in a list of rules, caught once in `machine.decide`."""

    def __init__(  # noqa: PLR0913 - a finding is these six things
        self,
        code: FindingCode,
        told: str,
        *,
        subject: str,
        expected: str = "",
        found: str = "",
        aside: PutAside | None = None,
    ) -> None:
        self.finding = Finding(code, subject, expected, found, told, aside)
        super().__init__(self.finding.sentence)


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
