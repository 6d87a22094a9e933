"""What may be wrong with a stored entry: its kind and facts as fields, and the sentence that is made from them."""

from dataclasses import dataclass
from enum import Enum, auto

from tracelink.errors import BrokenChain

_SHOWN = 16
"""Digits of a hash that a person compares."""


class FaultKind(Enum):
    """Kinds of fault: the way in which an entry does not fit."""

    MISSING = auto()
    """An entry before this one is not there."""
    CONTENT = auto()
    """The content has another hash than the one recorded."""
    UNREADABLE = auto()
    """The bytes are no entry."""
    NUMBER = auto()
    """The entry has another number than the line it is stored in."""
    FILING = auto()
    """The kind stored beside the entry is another."""
    LINK = auto()
    """The entry names another entry before it."""
    SCANS = auto()
    """The raw scans beside it have another hash than the entry says."""


class Changed(Enum):
    """Which of content and recorded hash was changed, as the next entry shows."""

    CONTENT = auto()
    HASH = auto()


@dataclass(frozen=True, slots=True)
class ChainFault:
    """One thing that is wrong with one stored entry."""

    kind: FaultKind
    seq: int
    """The first sequence number at which the journal departs from itself."""
    expected: str | None = None
    """The number, kind or hash that it should have; None if nothing was expected."""
    found: str | None = None
    changed: Changed | None = None
    """For CONTENT: what the next entry shows of it; None if it shows nothing."""

    @property
    def sentence(self) -> str:
        """The fault in words."""
        words = _WORDS[self.kind].format(
            seq=self.seq,
            before=self.seq - 1,
            next=self.seq + 1,
            expected=self.expected,
            found=self.found,
            expected_short=_short(self.expected, self.found),
            found_short=_short(self.found, self.expected),
        )
        return words if self.changed is None else words + _CHANGED[self.changed].format(next=self.seq + 1)

    @property
    def error(self) -> BrokenChain:
        """The fault as an error to raise."""
        return BrokenChain(self.seq, self.sentence)


_WORDS = {
    FaultKind.MISSING: "entry {seq} is missing: found entry {found} after {before}",
    FaultKind.CONTENT: "entry {seq} was changed: its content hashes to {found}, recorded is {expected}",
    FaultKind.UNREADABLE: "entry {seq}: {found}",
    FaultKind.NUMBER: "entry {seq} says it is entry {found}",
    FaultKind.FILING: "entry {seq} is of kind {expected!r}, but filed as {found!r}: the filing was changed",
    FaultKind.LINK: "entry {seq} does not follow entry {before}: it names {found_short} as the entry before, "
    "found {expected_short}",
    FaultKind.SCANS: "the raw scans beside entry {seq} were changed or taken away: expected {expected_short}, "
    "found {found_short}",
}
_CHANGED = {
    Changed.CONTENT: ". Entry {next} names the hash recorded: the content was changed.",
    Changed.HASH: ". Entry {next} names the hash of the content: the hash recorded was changed.",
}


def _short(digest: str | None, other: str | None) -> str:
    """Return the first digits of a hash, or all of it where the first digits of both are the same."""
    if digest is None:
        return "none"
    alike = other is not None and digest[:_SHOWN] == other[:_SHOWN]
    return digest if alike else f"{digest[:_SHOWN]}..."
