"""REJECT at a packing line: one disc goes to scrap."""

from tracelink.ledger.kinds.base import SCRAP, Moved
from tracelink.ledger.kinds.line import DiscRejected
from tracelink.station.common.forms import Done, Form, Scene, Values
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.line.cartons import REASON
from tracelink.station.line.sealing import fill_count, ready
from tracelink.station.line.state import LineDesk, OpenSpindle


def reject(desk: LineDesk, scene: Scene) -> Form:
    """Return the act; it asks for a reason where the plant wants one."""

    def finish(values: Values, scene: Scene) -> Done:
        job, _carton = ready(desk)
        source = _source(desk, scene)
        moved = Moved(source.lot, 1, source.spindle, SCRAP, None, None)
        sentence = f"One disc of spindle {source.spindle} goes to scrap."
        return Done((Act(DiscRejected(moved), values.get("reason")),), sentence, fill_count(desk, job))

    slots = (REASON,) if scene.world.setting("line_reasons") else ()
    return Form("REJECT", "line", slots, finish, lambda scene: _source(desk, scene))


def _source(desk: LineDesk, scene: Scene) -> OpenSpindle:
    """Return the spindle of the disc in hand, or of the one that comes next."""
    ready(desk)
    if desk.pending is None and not desk.no_reads:
        raise Refused(
            "no-disc",
            "No disc is in hand. Scan the disc that is to be thrown out; if it will not read, scan NOREAD first.",
            subject="REJECT",
            expected="a disc",
        )
    source = desk.spindle_for(desk.pending if desk.pending is not None else desk.next_piece)
    if source is None:
        raise Refused("no-spindle", "No spindle is open to reject a disc from.", subject="REJECT")
    spindle = scene.world.spindle(source.spindle)
    assert spindle is not None
    if spindle.remaining < 1:
        raise Refused(
            "spindle-empty", f"Spindle {source.spindle} is empty by the records.", subject=source.spindle
        )
    return source
