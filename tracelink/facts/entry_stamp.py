"""The outside of an entry."""

from dataclasses import dataclass

from tracelink.ledger.lateness import Lateness, lateness
from tracelink.ledger.recording_times import ClockStep
from tracelink.ledger.times import lag_s


@dataclass(frozen=True, slots=True)
class EntryStamp:
    """The outside of an entry: who recorded it, when, and when it happened."""

    seq: int
    """The entry."""
    kind: str
    """Kind of the entry, such as `lot-decided`."""
    happened: str
    """Event time, local with offset."""
    recorded: str
    """Recording time, UTC."""
    by: str
    """Name of the person signed on; empty if there was none."""
    station: str | None
    """The station; None for acts by command."""
    reason: str
    """As the person wrote it; empty if none was asked for."""
    corrects: int | None
    """The entry that it corrects."""

    @property
    def late_s(self) -> int:
        """Seconds from the event to its recording; negative if it was recorded before it happened."""
        return int(lag_s(self.happened, self.recorded))

    def lateness(self, late_after_minutes: int) -> Lateness:
        """Judge its two times by the setting `late_entry_minutes`."""
        return lateness(self.happened, self.recorded, late_after_minutes)


@dataclass(frozen=True, slots=True)
class TimedEntry:
    """An entry of which a time says something."""

    stamp: EntryStamp
    step: ClockStep | None
    """Set if its recording time does not go on from the entry before."""
    station_clock: str = ""
    """What its station was told of its clock; empty if nothing."""
