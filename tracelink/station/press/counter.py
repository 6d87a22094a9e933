"""The lot on a press: whether it runs, and which of its strokes still lie there."""

from tracelink.ledger.closed_sets import LotStatus
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.station_facts import Lot
from tracelink.station.sentences import press_sentences as say


def lot_here(context: ScanContext) -> Lot:
    """Return the lot on this press, or refuse: there is none."""
    lot = context.queries.lot_on(context.station)
    if lot is None:
        raise say.no_lot_here(context.station)
    return lot


def require_running(context: ScanContext) -> Lot:
    """Return the lot that runs on this press, or refuse: it is not started."""
    lot = lot_here(context)
    if lot.status != LotStatus.RUNNING:
        raise say.not_started(lot.code)
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
