"""A station whose clock was set back, or ran ahead, is told with the very scan that shows it.

The scan is judged all the same: what happened, happened, and only its time is in doubt. An entry says so, and the person
must stop and look.
"""

from dataclasses import replace
from datetime import timedelta
from functools import lru_cache

from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.station import ClockStepped
from tracelink.ledger.times import instant
from tracelink.station.common.outcome import Act, Decision, Word
from tracelink.station.common.queries import StationQueries
from tracelink.station.sentences import form_sentences as say


def with_clock(decision: Decision, station: str, at: str, queries: StationQueries) -> Decision:
    """Return a decision with what the time of its scan shows.

    Args:
        decision: on the scan.
        station: its code.
        at: local time of the scan.
        queries: the ledger.
    """
    last = queries.last_scan(station)
    if last is None or last.at == at:
        return decision
    before = last.at
    passed = instant(at) - instant(before)
    back, ahead = limits(queries)
    if -back <= passed <= ahead:
        return decision
    is_back = passed < -back
    if not is_back and not _is_ahead_of_all(at, ahead, queries):
        return decision
    told = say.clock_back(before, at) if is_back else say.clock_ahead(before, at)
    acts = (Act(ClockStepped(before, at, is_back, told), takes=0), *decision.acts)
    verdict = decision.verdict
    if verdict.word is not Word.STOP:
        # What is booked is itself a finding: the person must stop and look.
        code = FindingCode.CLOCK_BACK if is_back else FindingCode.CLOCK_AHEAD
        verdict = replace(verdict, word=Word.STOP, finding=code)
    return replace(
        decision, acts=acts, verdict=replace(verdict, sentence=say.with_more(told, verdict.sentence))
    )


def limits(queries: StationQueries) -> tuple[timedelta, timedelta]:
    """Return how far a scan may lie before the one before it, and how far behind it."""
    return _limits(queries.setting("clock_back_minutes"), queries.setting("clock_ahead_days"))


@lru_cache(maxsize=16)
def _limits(back_minutes: int, ahead_days: int) -> tuple[timedelta, timedelta]:
    return timedelta(minutes=back_minutes), timedelta(days=ahead_days)


def _is_ahead_of_all(at: str, ahead: timedelta, queries: StationQueries) -> bool:
    """Say whether a scan comes long after everything: a station that stood still while others worked is not told."""
    recorded = queries.last_recorded()
    return recorded is None or instant(at) - instant(recorded) > ahead
