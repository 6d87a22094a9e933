"""REJECT at a packing line: one disc goes to scrap."""

from tracelink.ledger.closed_sets import DiscPlace, ReasonAct
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.line import DiscRejected
from tracelink.station.common.forms import ActResult, Form, ScanContext, Values
from tracelink.station.common.outcome import Act
from tracelink.station.line.cartons import reason
from tracelink.station.line.sealing import fill_count, ready
from tracelink.station.line.state import LineState, OpenSpindle
from tracelink.station.sentences import line_manual_sentences as say


def reject(state: LineState, context: ScanContext) -> Form:
    """Return the act; it asks for a reason where the plant wants one."""

    def finish(values: Values, context: ScanContext) -> ActResult:
        job, _carton = ready(state)
        source = _source(state, context)
        moved = Moved(source.lot, 1, source.spindle, DiscPlace.SCRAP, None, None)
        sentence = say.goes_to_scrap(source.spindle)
        return ActResult((Act(DiscRejected(moved), values.get("reason")),), sentence, fill_count(state, job))

    slots = (reason(ReasonAct.LINE_REJECT),) if context.queries.setting("line_reasons") else ()
    return Form("REJECT", "line", slots, finish, lambda context: _source(state, context))


def _source(state: LineState, context: ScanContext) -> OpenSpindle:
    """Return the spindle of the disc in hand, or of the one that comes next."""
    ready(state)
    if state.pending is None and not state.no_reads:
        raise say.no_disc_in_hand()
    source = state.spindle_for(state.pending if state.pending is not None else state.next_piece)
    if source is None:
        raise say.no_spindle_open()
    spindle = context.queries.spindle(source.spindle)
    assert spindle is not None
    if spindle.remaining < 1:
        raise say.spindle_empty(source.spindle)
    return source
