"""What is open at stations, as far as a change of the plant must not contradict it."""

from collections.abc import Iterator

from sqlalchemy import Connection, text

from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted
from tracelink.station import station_states
from tracelink.station.line.state import LineState
from tracelink.store.stations.answers import SqlStationQueries

_STATE = text("SELECT area, desk FROM station WHERE code = :code")
_LINES = text("SELECT code, desk FROM station WHERE area = 'line' ORDER BY code")


def open_work(conn: Connection, station: str) -> str:
    """Return in words what is open at a station, and who is signed on; empty if nothing is open."""
    row = conn.execute(_STATE, {"code": station}).one()
    state, queries = station_states.read_state(row.area, row.desk), SqlStationQueries(conn)
    found = list(_of_line(state)) if isinstance(state, LineState) else list(_of_acts(state.form))
    found += _of_area(row.area, station, queries)
    if not found:
        return ""
    person = queries.person(state.person) if state.person else None
    return ", ".join([*found, *([] if person is None else [f"{person.name} is signed on"])])


def _of_line(state: LineState) -> Iterator[str]:
    if state.carton is not None:
        yield f"carton {state.carton} is open with {counted(state.units_in_carton, 'unit')}"
    if state.half or state.pending is not None:
        yield "a unit is in hand"
    if state.held is not None:
        yield f"{counted(state.held.remaining, 'unit')} to re-check"
    yield from _of_acts(state.form)


def _of_acts(form: str | None) -> Iterator[str]:
    if form is not None:
        yield f"{form} is not finished"


def _of_area(area: str, station: str, queries: SqlStationQueries) -> Iterator[str]:
    if area == "press" and (lot := queries.lot_on(station)) is not None:
        yield f"lot {lot.code} is {lot.status}"
    if area == "dock" and (pallet := queries.open_pallet(station)) is not None:
        yield f"pallet {pallet} is open"
    if area == "dock" and (loading := queries.open_shipment(station)) is not None:
        yield f"shipment {loading[0]} is loading"


def require_room(conn: Connection, gtin: str, carton_size: int) -> None:
    """Refuse a carton size that an open carton holds more than already.

    Raises:
        UsageError: names the carton and its line.
    """
    for row in conn.execute(_LINES):
        state = station_states.read_state("line", row.desk)
        if not isinstance(state, LineState) or state.job is None or state.job.gtin != gtin:
            continue
        if state.carton is not None and state.units_in_carton > carton_size:
            raise UsageError(
                f"carton_size is {carton_size}, and carton {state.carton} is open at {row.code} with "
                f"{counted(state.units_in_carton, 'unit')}: close it first"
            )
