"""What a station takes next: which act cards, which reasons, and what kind of thing it waits for.

Nothing here is a rule. Each act card is judged as if it were scanned now, by the very rules that judge it when it is; what
is not refused is taken. A screen can so show the acts of now as buttons and know none of them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from tracelink.errors import IdentifierError
from tracelink.identity.rawlines import raw_act
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.ledger.packs import RawScan
from tracelink.station import badge_pin, sign_off
from tracelink.station.acts_of_areas import ACTS_OF
from tracelink.station.common import forms
from tracelink.station.common.awaited import Awaited, AwaitedThing, Keyed, awaited_for
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries import StationQueries
from tracelink.station.common.station_facts import ReasonCard
from tracelink.station.decide import came_to
from tracelink.station.line import acts, machine
from tracelink.station.line.line_awaited import line_awaited
from tracelink.station.line.state import LineState
from tracelink.station.station_states import StationState


@dataclass(frozen=True, slots=True)
class TakesNext:
    """What a station takes next."""

    acts: tuple[str, ...]
    """Words of the act cards."""
    reasons: tuple[ReasonCard, ...]
    """The plant's reasons for the act that asks why; empty if none does."""
    awaited: Awaited
    is_unfinished: bool
    """True while an act asks for something: the acts are then those that put it away."""


def takes_next(  # noqa: PLR0913  a station as it stands, and who asks
    area: str,
    state: StationState,
    station: str,
    scan: RawScan,
    queries: StationQueries,
    *,
    give_way: Callable[[], None] = lambda: None,
) -> TakesNext:
    """Return what a station takes next.

    Args:
        area: tool, press, lab, line or dock.
        state: what the station has in hand.
        station: its code.
        scan: any line with the local time, and with the number that the next scan will have.
        queries: the ledger.
        give_way: called before each card is judged; what it raises ends all of it.
    """
    taken = []
    for word in _words(area):
        give_way()
        if _is_taken(area, state, station, replace(scan, raw=raw_act(word)), queries):
            taken.append(word)
    slot: str | None = None
    try:
        slot, awaited = _awaited(area, state, station, scan.at, queries)
    except Refused:
        awaited = Awaited(AwaitedThing.ACTION)
    reasons = _reasons(area, state, slot, queries) if awaited.thing is AwaitedThing.REASON else ()
    if reasons and not queries.setting("typed_reasons"):
        awaited = replace(awaited, keyed=())
    return TakesNext(tuple(taken), reasons, awaited, slot is not None)


def _words(area: str) -> Sequence[str]:
    acts_here = ACTS_OF.get(area)
    return machine.WORDS if acts_here is None else ("CANCEL", *acts_here.forms, forms.SIGN_OFF)


def _is_taken(area: str, state: StationState, station: str, scan: RawScan, queries: StationQueries) -> bool:
    if sign_off.by_itself(state, station, scan, queries):
        return False
    try:
        badge_pin.guard(state, came_to(area, station, scan, queries))
    except (IdentifierError, Refused):
        return False
    return True


def _awaited(
    area: str, state: StationState, station: str, at: str, queries: StationQueries
) -> tuple[str | None, Awaited]:
    """Return the slot that an unfinished act asks for, if it is one, and what comes next."""
    if state.pin is not None:
        return None, Awaited(AwaitedThing.PIN, (Keyed.PIN,))
    person = queries.person(state.person) if state.person else None
    if person is None:
        return None, Awaited(AwaitedThing.BADGE)
    context = ScanContext(queries, station, person, at)
    if isinstance(state, LineState):
        slot = acts.waiting_slot(state, context)
        if slot is None:
            return None, line_awaited(state, context)
    else:
        slot = forms.waiting_slot(ACTS_OF[area], state, context)
    return (
        (None, Awaited(AwaitedThing.ACTION))
        if slot is None
        else (slot.name, awaited_for(slot.name, state.form))
    )


def _reasons(
    area: str, state: StationState, slot: str | None, queries: StationQueries
) -> tuple[ReasonCard, ...]:
    if slot == "defect":
        return tuple(queries.reason_cards(ReasonAct.LAB_BAD))
    asking = next((act for act in ReasonAct if (act.area, act.word) == (area, state.form)), None)
    return () if asking is None else tuple(queries.reason_cards(asking))
