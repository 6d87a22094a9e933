"""Whether records were loaded into the ledger later than they tell of.

A plant that begins with logs it already has, or a station that was without its ledger for a day, makes nearly every
entry late. Flagging hundreds of entries one by one then hides the one thing to know about them; it is said once.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from tracelink.ledger.times import instant

LATE_AT_LEAST = 6
"""Fewer late entries are listed one by one, however large their share is."""


@dataclass(frozen=True, slots=True)
class LoadedLater:
    """Records most of which were entered in the ledger long after they happened."""

    looked_at: int
    """Entries looked at."""
    late: int
    """The late ones among them: more than half."""
    happened: tuple[str, str]
    """First and last event time of the late ones, local with offset."""
    recorded: tuple[str, str]
    """First and last recording time of the late ones, UTC."""


def loaded_later(looked_at: int, late: Sequence[tuple[str, str]]) -> LoadedLater | None:
    """Return how records were loaded later, or None if they were not.

    Args:
        looked_at: how many entries were looked at.
        late: event time and recording time of each late one among them.
    """
    if len(late) < LATE_AT_LEAST or 2 * len(late) <= looked_at:
        return None
    happened = [event_time for event_time, _recorded_at in late]
    recorded = [recorded_at for _event_time, recorded_at in late]
    return LoadedLater(
        looked_at,
        len(late),
        (min(happened, key=instant), max(happened, key=instant)),
        (min(recorded), max(recorded)),
    )
