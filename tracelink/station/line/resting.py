"""How long the discs of a stack have rested, by the clock that recorded it and not by those of stations alone.

A station says when something happened, by its own clock; the ledger says when it was recorded, by one clock for all
stations. Nothing happened after it was recorded. So a scan that says a later time counts as of its recording, and a
stack that was recorded when it was taken counts as of its recording too: no station's clock makes discs rested sooner.

A stack that was recorded long after its time came from a log, or its press has a clock that is behind, and nothing in
the ledger tells the one from the other. Its time is then the press's word alone. Where a line opens it as it is scanned, and
by the recording it has not rested yet, the person is told. Where the line's scan came from a log as well, both are words.
"""

from dataclasses import dataclass

from tracelink.ledger.lateness import Lateness, lateness
from tracelink.ledger.times import instant


@dataclass(frozen=True, slots=True)
class StationTimes:
    """When something happened, and when it was recorded."""

    at: str
    """By the clock of its station, local with offset."""
    recorded: str
    """By the recording clock, UTC."""

    @property
    def earliest(self) -> str:
        """The earlier of the two: it was at the latest then."""
        return self.at if instant(self.at) <= instant(self.recorded) else self.recorded


@dataclass(frozen=True, slots=True)
class Rest:
    """How long discs have rested."""

    since: str
    """When their rest began."""
    until: str
    """When it was looked at."""
    proven: float
    """Minutes of it that the recording clock proves as well; as `minutes` where it says nothing of them."""

    @property
    def minutes(self) -> float:
        """How long it was."""
        return _minutes(self.since, self.until)


def rest_of(stacked: StationTimes, opened: StationTimes, late_after_minutes: int) -> Rest:
    """Return how long the discs of a stack have rested.

    Args:
        stacked: when they were put on the spindle.
        opened: when the spindle was scanned at the line.
        late_after_minutes: the setting `late_entry_minutes`.
    """
    is_word = lateness(stacked.at, stacked.recorded, late_after_minutes) is Lateness.LATE
    since = stacked.at if is_word else stacked.recorded
    if instant(since) == instant(stacked.at):
        # The same time, as people there say it.
        since = stacked.at
    rest = Rest(since, opened.earliest, _minutes(since, opened.earliest))
    if not is_word or lateness(opened.at, opened.recorded, late_after_minutes) is Lateness.LATE:
        return rest
    return Rest(since, opened.earliest, _minutes(stacked.recorded, opened.recorded))


def _minutes(since: str, until: str) -> float:
    return (instant(until) - instant(since)).total_seconds() / 60
