"""REJECT at a packing line: one disc goes to scrap."""

from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.line import DiscRejected
from tracelink.station.common.forms import ActResult, Form, ScanContext, Values
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.line.cartons import REASON
from tracelink.station.line.sealing import fill_count, ready
from tracelink.station.line.state import LineState, OpenSpindle


def reject(state: LineState, context: ScanContext) -> Form:
    """Return the act; it asks for a reason where the plant wants one."""

    def finish(values: Values, context: ScanContext) -> ActResult:
        job, _carton = ready(state)
        source = _source(state, context)
        moved = Moved(source.lot, 1, source.spindle, DiscPlace.SCRAP, None, None)
        sentence = f"One disc of spindle {source.spindle} goes to scrap."
        return ActResult((Act(DiscRejected(moved), values.get("reason")),), sentence, fill_count(state, job))

    slots = (REASON,) if context.queries.setting("line_reasons") else ()
    return Form("REJECT", "line", slots, finish, lambda context: _source(state, context))


def _source(state: LineState, context: ScanContext) -> OpenSpindle:
    """Return the spindle of the disc in hand, or of the one that comes next."""
    ready(state)
    if state.pending is None and not state.no_reads:
        raise Refused(
            FindingCode.NO_DISC,
            "No disc is in hand. Scan the disc to scrap; if it will not read, scan NOREAD first.",
            subject="REJECT",
            expected="a disc",
        )
    source = state.spindle_for(state.pending if state.pending is not None else state.next_piece)
    if source is None:
        raise Refused(FindingCode.NO_SPINDLE, "No spindle is open to reject a disc from.", subject="REJECT")
    spindle = context.queries.spindle(source.spindle)
    assert spindle is not None
    if spindle.remaining < 1:
        raise Refused(
            FindingCode.SPINDLE_EMPTY,
            f"The system shows spindle {source.spindle} as empty. Check the spindle card.",
            subject=source.spindle,
        )
    return source
