"""What any station waits for: the word and sentence that stand on its screen when somebody comes back to it."""

from tracelink.station.common import forms
from tracelink.station.common.form_state import FormState
from tracelink.station.common.forms import ScanContext, StationActs
from tracelink.station.common.outcome import Verdict, Word
from tracelink.station.common.queries import StationQueries
from tracelink.station.line.line_waits_for import line_waits_for
from tracelink.station.line.state import LineState
from tracelink.station.sentences import form_sentences as say
from tracelink.station.sentences import pin_sentences


def waits_for(
    station_acts: StationActs | None,
    state: FormState | LineState,
    station: str,
    at: str,
    queries: StationQueries,
) -> Verdict:
    """Return what a station waits for.

    Args:
        station_acts: what the station can do; None for a packing line.
        state: what it has in hand.
        station: its code.
        at: local time.
        queries: the ledger.
    """
    awaited = queries.person(state.pin) if state.pin else None
    if awaited is not None:
        return Verdict(Word.NEXT, pin_sentences.key_your_pin(awaited.name), hides=True)
    person = queries.person(state.person) if state.person else None
    if person is None:
        return Verdict(Word.NEXT, say.SCAN_YOUR_BADGE)
    context = ScanContext(queries, station, person, at)
    if isinstance(state, LineState):
        return line_waits_for(state, context)
    assert station_acts is not None
    return forms.waits_for(station_acts, state, context)
