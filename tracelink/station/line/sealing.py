"""Sealing what lies in the spool, recording a refusal, and telling how full the carton is."""

from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.line import DiscsSleeved
from tracelink.ledger.kinds.packing import HoldBackOpened, ItemsInserted, UnitsRechecked
from tracelink.ledger.kinds.station import ScanRefused
from tracelink.station.common.outcome import Act, Finding
from tracelink.station.line.state import HOLD_BACK_FINDINGS, Job, LineState
from tracelink.station.sentences import line_sentences as say


def seal(state: LineState) -> tuple[Act, ...]:
    """Return the entries that seal the matches or rechecks in the spool; none if there are none."""
    if state.held is not None and state.held.done:
        return (Act(_rechecked(state), takes=state.held.scans),)
    run = state.run
    if not run.scans:
        return ()
    assert state.job is not None
    assert state.carton is not None
    moves = tuple(Moved(take.lot, take.count, take.spindle, state.carton, None, None) for take in run.takes)
    body = DiscsSleeved(
        batch=state.job.batch,
        gtin=state.job.gtin,
        carton=state.carton,
        units=run.units,
        first_at=run.first_at,
        last_at=run.last_at,
        moves=moves,
        numbers=run.numbers,
        filling=state.number,
        unfinished=state.half,
    )
    sealed = (Act(body, takes=run.scans),)
    if not (run.items or state.items):
        return sealed
    return (*sealed, Act(ItemsInserted(state.carton, run.items, state.items), takes=0))


def _rechecked(state: LineState) -> UnitsRechecked:
    held = state.held
    assert held is not None
    assert state.carton is not None
    return UnitsRechecked(state.carton, held.done, held.done_numbers, held.first_at, held.last_at)


def refused_body(finding: Finding) -> ScanRefused:
    """Return the body that records a finding."""
    return ScanRefused(str(finding.code), finding.subject, finding.expected, finding.found, finding.sentence)


def hold_back(state: LineState, finding: Finding) -> HoldBackOpened | None:
    """Return what a wrong read holds back: the units packed since the last good check."""
    if finding.code not in HOLD_BACK_FINDINGS or state.held is not None or not state.unchecked:
        return None
    assert state.carton is not None
    numbers = (*state.since_numbers, *state.run.numbers)
    return HoldBackOpened(state.carton, state.unchecked, numbers)


def count(state: LineState) -> str:
    """Return how full the open carton is; empty text where none is open."""
    return fill_count(state, state.job) if state.job and state.carton else ""


def fill_count(state: LineState, job: Job, more: int = 0) -> str:
    """Return how full the open carton is, counting `more` units just matched."""
    return say.how_full(state.units_in_carton + more, job.carton_size)


def ready(state: LineState) -> tuple[Job, str]:
    """Return job and carton, or refuse with what is still to be opened."""
    if not state.cleared:
        raise say.not_ready(say.LINE_NOT_CLEARED)
    if state.job is None:
        raise say.not_ready(say.NO_SLEEVES)
    if state.carton is None:
        raise say.not_ready(say.NO_CARTON)
    return state.job, state.carton
