"""What stations of earlier programs led to, where a rule has changed since: so that judging again can go on behind it.

Nobody can tell such an entry from one that was forged in its likeness: whoever took the hold of a rejected lot out of the
journal would leave the same behind. So each is told, and the journal does not count as judged.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tracelink.ledger.closed_sets import LotDecision
from tracelink.ledger.entry import Entry
from tracelink.ledger.kinds.lab import HoldPlaced, LotDecided
from tracelink.ledger.kinds.measuring.chart_entries import ChartSignalled
from tracelink.ledger.kinds.registry import read_body
from tracelink.ledger.packs import RawScan
from tracelink.ledger.proof.judged import ByEarlierRule, EarlierRule
from tracelink.station.common.outcome import Act, Decision


@dataclass(frozen=True, slots=True)
class EarlierDecision:
    """What a scan led to then, if an earlier rule explains what is recorded."""

    decision: Decision
    entries: tuple[ByEarlierRule, ...] = ()
    """The entries that a rule of now does not lead to, or leads to with more; none if all is as now."""


def as_recorded(decision: Decision, station: str, scan: RawScan, ahead: Sequence[Entry]) -> EarlierDecision:
    """Return what a scan led to then.

    Args:
        decision: what it leads to by the rules of now.
        station: where it was taken.
        scan: the scan.
        ahead: the entries recorded from there on; a few are enough.
    """
    kinds = [act.body.kind for act in decision.acts]
    recorded = [entry.kind for entry in ahead[: len(kinds)]]
    if _rejects(decision.acts) and recorded[:1] == [LotDecided.kind]:
        # Since, REJECT puts the lot on hold as well.
        told = ByEarlierRule(EarlierRule.REJECTED_WITHOUT_HOLD, ahead[0].seq)
        return EarlierDecision(replace(decision, acts=decision.acts[1:]), (told,))
    if kinds and recorded != kinds:
        return _without_warnings(decision, ahead)
    if not kinds:
        return EarlierDecision(decision)
    warned = _warnings(ahead[len(kinds) :], station, scan.number)
    # Since, fewer points of charts are a signal: limits of small counts are exact, and slow tests are on no chart.
    acts = (*decision.acts, *(Act(read_body(entry), entry.reason) for entry in warned))
    told_of = tuple(ByEarlierRule(EarlierRule.WARNED, entry.seq) for entry in warned)
    return EarlierDecision(replace(decision, acts=acts), told_of)


def _without_warnings(decision: Decision, ahead: Sequence[Entry]) -> EarlierDecision:
    """What a scan led to before the charts of families warned: the same without warnings that are not recorded."""
    acts = decision.acts
    while len(acts) > 1 and isinstance(acts[-1].body, ChartSignalled):
        acts = acts[:-1]
        if [act.body.kind for act in acts] == [entry.kind for entry in ahead[: len(acts)]]:
            told = ByEarlierRule(EarlierRule.NOT_WARNED, ahead[len(acts) - 1].seq)
            return EarlierDecision(replace(decision, acts=acts), (told,))
    return EarlierDecision(decision)


def _rejects(acts: Sequence[Act]) -> bool:
    bodies = [act.body for act in acts]
    return (
        len(bodies) == 2
        and isinstance(bodies[0], HoldPlaced)
        and isinstance(bodies[1], LotDecided)
        and bodies[1].decision == LotDecision.REJECTED
    )


def _warnings(ahead: Sequence[Entry], station: str, number: int) -> list[Entry]:
    """The warnings behind what a scan leads to, that the same scan led to then."""
    found = []
    for entry in ahead:
        if entry.kind != ChartSignalled.kind or (entry.stamp.station, entry.stamp.station_seq) != (
            station,
            number,
        ):
            break
        found.append(entry)
    return found
