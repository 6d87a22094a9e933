"""Sealing a run of matches, recording a refusal, and telling how full the carton is."""

from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.line import DiscsSleeved
from tracelink.ledger.kinds.station import ScanRefused
from tracelink.station.linedesk import Job, LineDesk
from tracelink.station.outcome import Act, Finding, Refused


def seal(desk: LineDesk) -> tuple[Act, ...]:
    """Return the entry that seals the matches in the spool; none if there are none."""
    run = desk.run
    if not run.matches:
        return ()
    assert desk.job is not None
    assert desk.carton is not None
    moves = tuple(Moved(take.lot, take.count, take.spindle, desk.carton, None, None) for take in run.takes)
    body = DiscsSleeved(
        batch=desk.job.batch,
        gtin=desk.job.gtin,
        carton=desk.carton,
        units=run.units,
        first_at=run.first_at,
        last_at=run.last_at,
        moves=moves,
        numbers=run.numbers,
        filling=desk.number,
        unfinished=desk.half,
    )
    return (Act(body, takes=2 * run.matches),)


def refused_body(finding: Finding) -> ScanRefused:
    """Return the body that records a finding."""
    return ScanRefused(finding.code, finding.subject, finding.expected, finding.found, finding.sentence)


def count(desk: LineDesk) -> str:
    """Return how full the open carton is; empty text without a job."""
    return fill_count(desk, desk.job) if desk.job else ""


def fill_count(desk: LineDesk, job: Job, more: int = 0) -> str:
    """Return how full the open carton is, counting `more` units just matched."""
    return f"{desk.units_in_carton + more} of {job.carton_size} in carton"


def ready(desk: LineDesk) -> tuple[Job, str]:
    """Return job and carton, or refuse with what is still to be opened."""
    missing = ""
    if not desk.cleared:
        missing = "The line is not cleared. Scan CLEAR, then a second person's badge."
    elif desk.job is None:
        missing = "No sleeve batch is open. Scan the sleeve batch."
    elif desk.carton is None:
        missing = "No carton is open. Scan a new carton label."
    if missing or desk.job is None or desk.carton is None:
        raise Refused("not-ready", missing, subject="line")
    return desk.job, desk.carton
