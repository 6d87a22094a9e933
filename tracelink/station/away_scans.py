"""Scans made while the ledger was away, booked when it is back.

The line judged them by an earlier copy of the ledger and told the operator to go on or to stop. Here they are judged once more,
by what the ledger knows now. Where both say the same, the scan counts like any other. Where the ledger would have said something
else, nobody knows what lies in the carton: it is held, and quality looks.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

from tracelink.errors import IdentifierError
from tracelink.identity.rawlines import AwayRead
from tracelink.identity.reading import LogisticRead, read_scan
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.station.common.outcome import Act, Decision, Finding, Word
from tracelink.station.common.queries import StationQueries
from tracelink.station.line.state import LineState
from tracelink.station.sentences import common_sentences as say


def settled(
    state: LineState,
    away: AwayRead,
    decision: Decision,
    queries: StationQueries,
    refuse: Callable[[Finding], Decision],
) -> Decision:
    """Return what follows from a scan of then, given what would follow from it now.

    Args:
        state: of the line before it.
        away: the scan, and what was shown for it.
        decision: on the same line as if it came now.
        queries: the ledger.
        refuse: makes the decision that records a finding.
    """
    if decision.verdict.word.value == away.word or decision.secret:
        return decision
    if away.word == Word.STOP.value:
        # The piece was put aside then: it must not count as packed now.
        return refuse(say.stopped_away(away.raw).finding)
    cartons = [sscc for sscc in _cartons(state, away.raw, queries) if queries.hold_on_carton(sscc) is None]
    told = say.judged_otherwise(decision.verdict.sentence, away.word, cartons)
    verdict = replace(decision.verdict, sentence=told)
    return replace(decision, verdict=verdict, acts=(*decision.acts, *_holds(cartons, away.word, queries)))


def _cartons(state: LineState, raw: str, queries: StationQueries) -> Iterator[str]:
    """Yield the open carton, and the one whose label was scanned, if the ledger knows it."""
    if state.carton is not None:
        yield state.carton
    try:
        reading = read_scan(raw)
    except IdentifierError:
        return
    scanned = str(reading.sscc) if isinstance(reading, LogisticRead) and reading.sscc else None
    if scanned not in {None, state.carton} and queries.carton(str(scanned)) is not None:
        yield str(scanned)


def _holds(cartons: list[str], shown: str, queries: StationQueries) -> Iterator[Act]:
    if cartons:
        items = tuple(HeldItem(sscc, None, None) for sscc in cartons)
        hold = HoldPlaced(queries.next_code("H"), cartons[0], items)
        yield Act(hold, say.packed_while_away(shown), takes=0)
