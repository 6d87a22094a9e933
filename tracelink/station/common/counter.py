"""What a value of a press counter means, wherever it is keyed: at the press, or with a sample in the lab."""

from tracelink.ledger.kinds.press import (
    Reading as CounterReading,
)
from tracelink.station.common.station_facts import Lot
from tracelink.station.sentences import common_sentences

MOST_OVER_PLAN = 2
"""How many times the planned quantity a counter may reach: overs are some percent (common practice), so what is
beyond this is a slip of the finger, and a counter that was booked too high could not be taken back."""


def counter_reading(lot: Lot, counter: int) -> CounterReading:
    """Return what a counter value means for the lot; a counter neither runs backwards nor leaps far over the plan."""
    assert lot.segment is not None
    if counter < lot.counter:
        raise common_sentences.counter_backwards(lot, counter)
    require_range(lot, counter)
    return CounterReading(lot.code, lot.segment, lot.counter, counter)


def require_range(lot: Lot, counter: int) -> None:
    """Refuse a counter far beyond what was planned: it is a slip of the finger."""
    if counter > MOST_OVER_PLAN * lot.planned:
        raise common_sentences.counter_too_high(lot, counter, MOST_OVER_PLAN * lot.planned)
