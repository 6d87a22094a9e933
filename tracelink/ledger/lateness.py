"""When an entry counts as recorded late, or before its time: the one rule of reports, bundles, findings and traces.

An entry is **late** if it was recorded more than `late_entry_minutes` after it says it happened: just on the limit is in
time. It is **early** if it was recorded more than a minute before it says it happened: a minute is what recording
time, kept in whole seconds, and the clocks of two machines may differ by.
"""

from enum import StrEnum

from tracelink.ledger.times import lag_s

EARLY_AFTER_S = 60
"""Seconds that an entry may be recorded before its event time, by common practice for clocks set from one source."""


class Lateness(StrEnum):
    """How the two times of an entry stand to each other."""

    IN_TIME = "in time"
    LATE = "late"
    EARLY = "before its time"


def lateness(event_time: str, recorded_at: str, late_after_minutes: int) -> Lateness:
    """Judge the two times of an entry.

    Args:
        event_time: when it says it happened, local with offset.
        recorded_at: when it was recorded, UTC.
        late_after_minutes: the setting `late_entry_minutes`.
    """
    seconds = lag_s(event_time, recorded_at)
    if seconds > 60 * late_after_minutes:
        return Lateness.LATE
    return Lateness.EARLY if seconds < -EARLY_AFTER_S else Lateness.IN_TIME
