"""Sealing what lies in the spool, recording a refusal, and telling how full the carton is."""

from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.line import DiscsSleeved
from tracelink.ledger.kinds.packing import HoldBackOpened, ItemsInserted, UnitsRechecked
from tracelink.ledger.kinds.station import ScanRefused
from tracelink.station.common.outcome import Act, Finding, Refused
from tracelink.station.line.state import HOLD_BACK_FINDINGS, Job, LineState

_SHOWN = 10
"""Numbers told to the person; the entry lists all."""


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


def held_back_words(finding: Finding, body: HoldBackOpened) -> str:
    """Say what is wrong, what is held back by it and what to do: going on with the right piece is not offered."""
    listed = ", ".join(body.numbers[:_SHOWN])
    more = len(body.numbers) - _SHOWN
    noun = "number" if len(body.numbers) == 1 else "numbers"
    numbers = f" ({noun} {listed}{f' and {more} more' if more > 0 else ''})" if listed else ""
    units, each = (
        ("unit", "that unit") if body.units == 1 else (f"{body.units} units", f"each of the {body.units}")
    )
    pieces = "" if finding.aside is None else f"{finding.aside.pieces} aside, and also "
    return (
        f"{finding.told} Put {pieces}the last {units}{numbers}{'' if pieces else ' aside'}. "
        f"Scan STOP, RECHECK, then {each}."
    )


def count(state: LineState) -> str:
    """Return how full the open carton is; empty text without a job."""
    return fill_count(state, state.job) if state.job else ""


def fill_count(state: LineState, job: Job, more: int = 0) -> str:
    """Return how full the open carton is, counting `more` units just matched."""
    return f"{state.units_in_carton + more} of {job.carton_size} in carton"


def ready(state: LineState) -> tuple[Job, str]:
    """Return job and carton, or refuse with what is still to be opened."""
    missing = ""
    if not state.cleared:
        missing = "The line is not cleared. Scan CLEAR, then a second person's badge."
    elif state.job is None:
        missing = "No sleeve batch is open. Scan the sleeve batch."
    elif state.carton is None:
        missing = "No carton is open. Scan a new carton label."
    if missing or state.job is None or state.carton is None:
        raise Refused(FindingCode.NOT_READY, missing, subject="line")
    return state.job, state.carton
