"""A station that was closed from a day on: what is open there then is finished, and nothing new is begun.

Who plans a closing weeks before cannot know what will be open on that morning. A carton, pallet, shipment or lot that
nobody could finish would be stuck, so the station takes scans until nothing is open any more.
"""

from tracelink.ledger.kinds.dock import PalletOpened, ShipmentOpened
from tracelink.ledger.kinds.line import CartonOpened, SleevesOpened
from tracelink.ledger.kinds.press import PressSetUp
from tracelink.station.common.form_state import FormState
from tracelink.station.common.outcome import Decision
from tracelink.station.common.queries import StationQueries
from tracelink.station.line.state import LineState
from tracelink.station.sentences import common_sentences as say

_BEGINS = (CartonOpened, SleevesOpened, PalletOpened, ShipmentOpened, PressSetUp)
"""What would keep a station at work."""


def refuse_closed(area: str, state: FormState | LineState, station: str, queries: StationQueries) -> None:
    """Refuse any scan at a station that is closed and has nothing open."""
    closed = queries.station_closed(station)
    if closed is not None and not has_open_work(area, state, station, queries):
        raise say.station_closed(station, closed)


def refuse_beginning(decision: Decision, station: str, queries: StationQueries) -> Decision:
    """Return a decision, or refuse it: it begins something at a station that is closed."""
    if any(isinstance(act.body, _BEGINS) for act in decision.acts):
        closed = queries.station_closed(station)
        if closed is not None:
            raise say.station_closing(station, closed)
    return decision


def has_open_work(area: str, state: FormState | LineState, station: str, queries: StationQueries) -> bool:
    """Say whether something is open at a station that has to be finished there."""
    if state.form is not None:
        return True
    if isinstance(state, LineState):
        return state.carton is not None or bool(state.half) or state.pending is not None
    if area == "press":
        return queries.lot_on(station) is not None
    is_dock = area == "dock"
    return is_dock and (queries.open_pallet(station) or queries.open_shipment(station)) is not None
