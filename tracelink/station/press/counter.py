"""The counter of a press: which lot runs, what a counter value means, which strokes still lie there."""

from tracelink.ledger.kinds.press import (
    Reading as CounterReading,
)
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries import Lot

MOST_OVER_PLAN = 2
"""How many times the planned quantity a counter may reach: overs are some percent (common practice), so what is
beyond this is a slip of the finger, and a counter that was booked too high could not be taken back."""


def lot_here(context: ScanContext) -> Lot:
    """Return the lot on this press, or refuse: there is none."""
    lot = context.queries.lot_on(context.station)
    if lot is None:
        raise Refused("no-lot", "No lot is set up on this press. Scan SETUP first.", subject=context.station)
    return lot


def counter_reading(lot: Lot, counter: int) -> CounterReading:
    """Return what a counter value means for the lot; a counter neither runs backwards nor leaps far over the plan."""
    assert lot.segment is not None
    if counter < lot.counter:
        raise Refused(
            "counter-backwards",
            f"The counter of {lot.code} stood at {lot.counter}; {counter} is less. Read it again.",
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
            "counter-too-high",
            f"{counter} is far beyond the {lot.planned} discs planned for {lot.code}. Read it again; if the lot is "
            "to be that long, plan it as several.",
            subject=lot.code,
            expected=f"up to {MOST_OVER_PLAN * lot.planned}",
            found=str(counter),
        )


def require_running(context: ScanContext) -> Lot:
    """Return the lot that runs on this press, or refuse: it is not started."""
    lot = lot_here(context)
    if lot.status != "running":
        raise Refused("not-started", f"Lot {lot.code} is not started. Scan START first.", subject=lot.code)
    return lot


def unmoved(context: ScanContext, lot: str, counter: int) -> list[tuple[int, int]]:
    """Return the stroke ranges 1 ... `counter` that have not left the press counter yet."""
    free: list[tuple[int, int]] = []
    start = 1
    for first, last in context.queries.strokes_moved(lot, 1, counter):
        if first > start:
            free.append((start, first - 1))
        start = last + 1
    if start <= counter:
        free.append((start, counter))
    return free
