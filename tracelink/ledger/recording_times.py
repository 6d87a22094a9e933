"""Whether the times at which entries were recorded run on, as those of one clock do.

Entries are recorded one after the other, so each was recorded no earlier than the one before. Where that is not so, the
clock of the machine was set, two machines disagree, or a time was made up. A chain says nothing of it: it fixes the
order of entries, and the times as they were written.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from tracelink.ledger.count_words import counted
from tracelink.ledger.entry import Entry
from tracelink.ledger.times import instant


@dataclass(frozen=True, slots=True)
class ClockLimits:
    """How far recording times may differ from those of one clock before it is told."""

    back: timedelta = timedelta(minutes=1)
    """Setting `clock_back_minutes`: machines of one plant differ by seconds, and a command may wait some for its turn."""
    ahead: timedelta = timedelta(days=30)
    """Setting `clock_ahead_days`."""


@dataclass(frozen=True, slots=True)
class ClockStep:
    """An entry whose recording time does not go on from the entry before."""

    seq: int
    """The entry."""
    kind: str
    recorded: str
    """Its recording time, UTC."""
    before: str
    """That of the entry before it."""

    @property
    def by(self) -> timedelta:
        """How far the time went on; below zero if it ran back."""
        return instant(self.recorded) - instant(self.before)

    @property
    def short(self) -> str:
        """In a few words, for a column."""
        back = self.by < timedelta(0)
        return f"{_long(abs(self.by))} {'before' if back else 'after'} the entry before it"

    @property
    def sentence(self) -> str:
        """The finding in words."""
        told = f"entry {self.seq} ({self.kind}) was recorded {self.recorded}, {self.short} ({self.before})"
        if self.by < timedelta(0):
            return (
                f"{told}: the clock was set back or had run ahead, machines disagree, or a time was made up"
            )
        return f"{told}: the clock jumped ahead, or nothing was recorded for so long"


class RecordingTimes:
    """Looks at the recording time of every entry in order."""

    def __init__(self, limits: ClockLimits) -> None:
        self._limits = limits
        self._before: tuple[str, datetime] | None = None

    def entry(self, entry: Entry) -> Iterator[ClockStep]:
        """Yield what the recording time of the next entry shows."""
        return self.recorded(entry.seq, entry.kind, entry.stamp.recorded_at)

    def recorded(self, seq: int, kind: str, recorded: str) -> Iterator[ClockStep]:
        """Yield the same where no more than this is read of the next entry."""
        before = self._before
        if before is not None and before[0] == recorded:
            return
        now = instant(recorded)
        self._before = (recorded, now)
        limits = self._limits
        if before is not None and not -limits.back <= now - before[1] <= limits.ahead:
            yield ClockStep(seq, kind, recorded, before[0])


def _long(time: timedelta) -> str:
    """Return a length of time as a person says it, in its largest units."""
    minutes = int(time.total_seconds()) // 60
    days, hours = minutes // 1440, minutes // 60
    if days >= 2:
        return counted(days, "day")
    return counted(hours, "hour") if hours >= 2 else counted(minutes, "minute")
