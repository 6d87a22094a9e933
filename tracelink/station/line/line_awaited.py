"""What a packing line waits for, as a kind of thing; `line_waits_for` says the same in words."""

from tracelink.station.common.awaited import Awaited, AwaitedThing
from tracelink.station.common.forms import ScanContext
from tracelink.station.line import holdback, kit
from tracelink.station.line.state import LineState

_ACTION = Awaited(AwaitedThing.ACTION)
_PIECES = {"disc": AwaitedThing.DISC, "sleeve": AwaitedThing.SLEEVE, "item": AwaitedThing.ITEM}


def line_awaited(state: LineState, context: ScanContext) -> Awaited:
    """Return what a line with somebody signed on and no unfinished act waits for."""
    if state.clearing is not None:
        return Awaited(AwaitedThing.BADGE)
    if state.stopped or not state.cleared or (state.held is not None and not state.held.rechecking):
        return _ACTION
    if state.held is not None:
        return Awaited(_PIECES[holdback.wanted(state, context).what])
    return _opening(state) or _piece(state, context)


def _opening(state: LineState) -> Awaited | None:
    if state.job is None:
        return Awaited(AwaitedThing.SLEEVE_BATCH)
    if not state.spindles:
        return Awaited(AwaitedThing.SPINDLE)
    return Awaited(AwaitedThing.CARTON) if state.carton is None else None


def _piece(state: LineState, context: ScanContext) -> Awaited:
    assert state.job is not None
    if state.pending is not None:
        return Awaited(AwaitedThing.SLEEVE)
    if kit.position(state) == 0 and state.units_in_carton >= state.job.carton_size:
        return _ACTION
    wanted = kit.wanted(state, context)
    if wanted.disc is None:
        return Awaited(AwaitedThing.ITEM)
    opened = state.spindle_for(wanted.disc)
    is_there = opened is not None and not kit.is_used_up(opened, context)
    return Awaited(AwaitedThing.DISC if is_there else AwaitedThing.SPINDLE)
