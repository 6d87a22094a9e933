"""How many entries of each kind there are, which have times that a limit may find, and where a name is found.

Theory of operation. What is said of all entries together would be read from all of them. So a tally is kept of every
complete sixteen, as the tree keeps hashes, and only the few entries after those are looked at when somebody asks. It holds
nothing that the journal does not.

Limits are settings and may change, so a time is kept where any limit might find it: late by more than a minute, recorded
before the entry before it, or more than a day after it.

Who did what stands in the entries alone, and a rare question about a rare station would read all of them. So each complete block
of 256 says which stations, badges and kinds are in it; whoever asks reads those blocks and the few entries after the last.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from math import ceil
from typing import Final

from tracelink.ledger.changes import Insert
from tracelink.ledger.recording_times import ClockLimits
from tracelink.ledger.times import lag_s

EVERY: Final = 16
"""Entries that are tallied together."""
BLOCK: Final = 256
"""Entries of a block: more make the table shorter, fewer the reading of a rare name; a multiple of `EVERY`."""
LEAST_LATE_S: Final = 60
LEAST_AHEAD_S: Final = 86_400


@dataclass(frozen=True, slots=True)
class EntryTimes:
    """How the times of an entry stand to each other, and to those of the entry before."""

    seq: int
    late_s: int
    """Seconds from the event to its recording, a part of one counted whole; below 0 if it was recorded before."""
    step_s: int
    """Seconds from the recording of the entry before, below 0 if it ran back; 0 for the first."""

    @property
    def is_kept(self) -> bool:
        """Whether a limit might find it."""
        return self.late_s > LEAST_LATE_S or not 0 <= self.step_s <= LEAST_AHEAD_S

    def is_late(self, minutes: int) -> bool:
        """Return whether it was recorded more than `minutes` after it says it happened."""
        return self.late_s > 60 * minutes

    def is_step(self, limits: ClockLimits) -> bool:
        """Return whether its recording does not go on from the entry before."""
        return self.step_s < -limits.back.total_seconds() or self.step_s > limits.ahead.total_seconds()

    def row(self) -> Insert:
        """Return the row that keeps it."""
        return Insert("odd_time", {"seq": self.seq, "late_s": self.late_s, "step_s": self.step_s})


def finds_what_is_kept(late_after_minutes: int, limits: ClockLimits) -> bool:
    """Return whether limits find nothing but what is kept: those finer than a minute or a day may."""
    return 60 * late_after_minutes >= LEAST_LATE_S and limits.ahead.total_seconds() >= LEAST_AHEAD_S


@dataclass(slots=True)
class EntryTally:
    """Tallies entries in order."""

    kinds: Counter[str] = field(default_factory=Counter)
    """Entries by kind, of all complete sixteens."""
    odd: list[EntryTimes] = field(default_factory=list)
    """Times that are kept, of all complete sixteens."""
    _before: str | None = None
    _waiting: list[tuple[str, EntryTimes]] = field(default_factory=list)

    def entry(self, seq: int, kind: str, happened: str, recorded: str) -> None:
        """Take the next entry."""
        self._waiting.append((kind, times_of(seq, happened, recorded, self._before)))
        self._before = recorded
        if seq % EVERY == 0:
            self.kinds.update(kind for kind, _times in self._waiting)
            self.odd += [times for _kind, times in self._waiting if times.is_kept]
            self._waiting.clear()

    def rows(self) -> Iterator[Insert]:
        """Yield the rows that keep the tally."""
        for kind, entries in sorted(self.kinds.items()):
            yield Insert("entry_count", {"kind": kind, "entries": entries})
        for times in self.odd:
            yield times.row()


@dataclass(slots=True)
class EntryBlocks:
    """Notes what stands in entries, in order."""

    found: list[tuple[int, str]] = field(default_factory=list)
    """Number of a complete block, from 0, and a name that is in it."""
    _waiting: set[str] = field(default_factory=set)

    def entry(self, seq: int, *names: str | None) -> None:
        """Take the next entry with its kind, its station and its badge."""
        self._waiting.update(name for name in names if name is not None)
        if seq % BLOCK == 0:
            block = seq // BLOCK - 1
            self.found += [(block, name) for name in sorted(self._waiting)]
            self._waiting.clear()

    def rows(self) -> Iterator[Insert]:
        """Yield the rows that keep it."""
        for block, name in self.found:
            yield Insert("entry_block", {"name": name, "block": block})


def times_of(seq: int, happened: str, recorded: str, before: str | None) -> EntryTimes:
    """Return how the times of an entry stand.

    Args:
        seq: the entry.
        happened: its event time, local with offset.
        recorded: its recording time, UTC.
        before: recording time of the entry before; None for the first.
    """
    step_s = 0 if before is None or before == recorded else lag_s(before, recorded)
    return EntryTimes(seq, ceil(lag_s(happened, recorded)), int(step_s))
