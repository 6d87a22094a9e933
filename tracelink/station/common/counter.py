"""What a value of a press counter means, wherever it is keyed: at the press, or with a sample in the lab."""

from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.press import (
    Reading as CounterReading,
)
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries import Lot

MOST_OVER_PLAN = 2
"""How many times the planned quantity a counter may reach: overs are some percent (common practice), so what is
beyond this is a slip of the finger, and a counter that was booked too high could not be taken back."""


def counter_reading(lot: Lot, counter: int) -> CounterReading:
    """Return what a counter value means for the lot; a counter neither runs backwards nor leaps far over the plan."""
    assert lot.segment is not None
    if counter < lot.counter:
        raise Refused(
            FindingCode.COUNTER_BACKWARDS,
            f"You keyed {counter}, and the counter of {lot.code} was already at {lot.counter}. Read it again.",
            subject=lot.code,
            expected=f"{lot.counter} or more",
            found=str(counter),
        )
    require_range(lot, counter)
    return CounterReading(lot.code, lot.segment, lot.counter, counter)


def require_range(lot: Lot, counter: int) -> None:
    """Refuse a counter far beyond what was planned: it is a slip of the finger."""
    if counter > MOST_OVER_PLAN * lot.planned:
        raise Refused(
            FindingCode.COUNTER_TOO_HIGH,
            f"{counter} is far beyond the {lot.planned} discs planned for {lot.code}. Read it again; if the lot "
            "really is that long, plan it as several lots.",
            subject=lot.code,
            expected=f"up to {MOST_OVER_PLAN * lot.planned}",
            found=str(counter),
        )
