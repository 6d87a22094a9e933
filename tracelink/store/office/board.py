"""Today's board: what every station does now and what happened on one day, read in one transaction.

A day is the local date that events carry. Matches that lie in a spool count like sealed ones.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, TextClause, text

from tracelink.facts.day_board import AtStation, Board, DayCount, Looking, OpenHold, Stop, Waiting
from tracelink.station import decide, station_states
from tracelink.station.common.form_state import FormState
from tracelink.station.common.outcome import Verdict
from tracelink.station.line.state import LineState
from tracelink.store.stations.answers import SqlStationQueries

_STATIONS = text(
    "SELECT code, area, name, desk FROM station WHERE (CAST(:area AS TEXT) IS NULL OR area = :area) ORDER BY area, code"
)
_LOT_ON = text(
    "SELECT l.code, l.status, l.counter, l.planned, p.title FROM lot l JOIN product p ON p.gtin = l.gtin "
    "WHERE l.press = :station AND l.status IN ('set up', 'running')"
)
# Found by an index on the text: behind the date stands a T, and nothing of that day sorts after U. What was moved that
# day is kept apart, because a database that sees a place first reads all that was ever moved there.
_MOVED = (
    "WITH moved AS MATERIALIZED (SELECT seq, quantity, source, target FROM movement "
    "WHERE at >= :day AND at < :day || 'U' AND substr(at, 1, 10) = :day) "
)
_COUNTS: dict[str, tuple[tuple[str, str], ...]] = {
    "tool": (("tools grown or registered", "SELECT COUNT(*) FROM tool WHERE substr(made_at, 1, 10) = :day"),),
    "press": (
        (
            "discs stacked",
            (
                "SELECT COALESCE(SUM(m.quantity), 0) FROM moved m JOIN spindle s ON s.code = m.target "
                "WHERE m.source = 'counter'"
            ),
        ),
        (
            "trial discs scrapped",
            "SELECT COALESCE(SUM(quantity), 0) FROM moved WHERE target = 'set-up'",
        ),
        (
            "discs scrapped at the press",
            (
                "SELECT COALESCE(SUM(m.quantity), 0) FROM moved m JOIN journal j ON j.seq = m.seq "
                "WHERE m.target = 'scrap' AND j.kind = 'discs-scrapped'"
            ),
        ),
    ),
    "lab": (
        ("samples drawn", "SELECT COUNT(*) FROM sample WHERE substr(at, 1, 10) = :day"),
        (
            "samples waiting for a judgement (any day)",
            "SELECT COUNT(*) FROM sample s WHERE NOT EXISTS (SELECT 1 FROM judgement j WHERE j.sample = s.code)",
        ),
    ),
    "line": (
        (
            "discs sleeved",
            (
                "SELECT (SELECT COALESCE(SUM(m.quantity), 0) FROM moved m JOIN carton c ON c.sscc = m.target "
                "JOIN spindle s ON s.code = m.source) + (SELECT COUNT(*) FROM spool "
                "WHERE spindle IS NOT NULL AND substr(at, 1, 10) = :day)"
            ),
        ),
        (
            "discs rejected at the line",
            (
                "SELECT COALESCE(SUM(m.quantity), 0) FROM moved m JOIN journal j ON j.seq = m.seq "
                "WHERE m.target = 'scrap' AND j.kind <> 'discs-scrapped'"
            ),
        ),
    ),
    "dock": (
        (
            "shipments that left",
            "SELECT COUNT(*) FROM shipment WHERE substr(departed_at, 1, 10) = :day",
        ),
        ("pallets waiting to be accepted (any day)", "SELECT COUNT(*) FROM pallet WHERE status = 'closed'"),
        ("pallets accepted and here (any day)", "SELECT COUNT(*) FROM pallet WHERE status = 'accepted'"),
    ),
    "assembly": (
        (
            "pieces that passed a test",
            "SELECT COUNT(*) FROM piece_test WHERE passed = 1 AND substr(at, 1, 10) = :day",
        ),
        (
            "pieces that failed a test",
            "SELECT COUNT(*) FROM piece_test WHERE passed = 0 AND substr(at, 1, 10) = :day",
        ),
        ("pieces in rework (any day)", "SELECT COUNT(*) FROM piece WHERE status = 'failed'"),
    ),
    "process": (
        ("process steps ended", "SELECT COUNT(*) FROM step WHERE substr(ended_at, 1, 10) = :day"),
        ("process steps open (any day)", "SELECT COUNT(*) FROM step WHERE status = 'open'"),
        (
            "readings outside their limits",
            "SELECT COUNT(*) FROM step_reading WHERE outside = 1 AND substr(at, 1, 10) = :day",
        ),
    ),
}
"""What is counted at each kind of station, with its question."""

_STOPS = text(
    "SELECT f.finding, COUNT(*) AS times, MAX(f.seq) AS last FROM finding f JOIN station s ON s.code = f.station "
    "WHERE f.at >= :day AND f.at < :day || 'U' AND substr(f.at, 1, 10) = :day "
    "AND (CAST(:area AS TEXT) IS NULL OR s.area = :area) "
    "GROUP BY f.finding ORDER BY times DESC, f.finding"
)
_SENTENCE = text("SELECT at, station, sentence FROM finding WHERE seq = :seq")
_HOLDS = text(
    "SELECT h.code, h.cause, h.reason, h.person, (SELECT COUNT(*) FROM hold_item i WHERE i.hold = h.code) AS things "
    "FROM hold h WHERE h.lifted_seq IS NULL ORDER BY h.seq DESC"
)
_INVESTIGATIONS = text(
    "SELECT seq, subject, difference, reason FROM investigation WHERE closed_seq IS NULL ORDER BY seq DESC"
)
_WAITING = text(
    "SELECT l.code, p.title, l.piece, l.status, l.counter, "
    "(SELECT COUNT(*) FROM sample s WHERE s.lot = l.code) AS samples, "
    "(SELECT COUNT(*) FROM sample s JOIN judgement j ON j.sample = s.code WHERE s.lot = l.code "
    "AND j.corrected_by IS NULL) AS judged, "
    "(SELECT COUNT(*) FROM sample s JOIN judgement j ON j.sample = s.code WHERE s.lot = l.code "
    "AND j.corrected_by IS NULL AND j.good = 0) AS bad "
    "FROM lot l JOIN product p ON p.gtin = l.gtin WHERE l.decision = 'pending' AND l.counter > 0 ORDER BY l.seq"
)


def at_station(conn: Connection, code: str, at: str) -> AtStation:
    """Return what one station does now, for whoever comes back to it.

    Args:
        conn: a connection that reads one state.
        code: a station of the ledger.
        at: local time.
    """
    return _at(_station(conn, code), conn, SqlStationQueries(conn), at)


def waits_at(conn: Connection, code: str, at: str) -> Verdict:
    """Return what one station waits for, with what a packing line shows beside it.

    Args:
        conn: a connection that reads one state.
        code: a station of the ledger.
        at: local time.
    """
    row = _station(conn, code)
    state, queries = station_states.read_state(row.area, row.desk), SqlStationQueries(conn)
    waits = decide.waits_at(row.area, state, code, at, queries)
    return replace(waits, panel=decide.panel_at(state, code, queries))


def board(conn: Connection, area: str | None, day: str) -> Board:
    """Return the board of a kind of station, or of all.

    Args:
        conn: a connection that reads one state.
        area: tool, press, lab, line, dock, process, assembly, or None for all.
        day: local date, YYYY-MM-DD.
    """
    queries = SqlStationQueries(conn)
    stations = tuple(
        _at(row, conn, queries, f"{day}T00:00:00+00:00") for row in _all(conn, _STATIONS, area=area)
    )
    # A plant without process steps or an assembly hall reads nothing about them.
    placed = {each.area for each in stations} | (_COUNTS.keys() - {"process", "assembly"})
    areas = tuple(each for each in _COUNTS if each in placed) if area is None else (area,)
    counts = tuple(
        DayCount(each, what, int(conn.execute(text(_MOVED + query), {"day": day}).scalar_one()))
        for each in areas
        for what, query in _COUNTS[each]
    )
    return Board(
        day=day,
        area=area or "all",
        stations=stations,
        counts=counts,
        stops=tuple(_stop(conn, row) for row in _all(conn, _STOPS, area=area, day=day)),
        holds=tuple(OpenHold(row[0], row[1], row[2], row[3] or "", row[4]) for row in _all(conn, _HOLDS)),
        investigations=tuple(Looking(*row) for row in _all(conn, _INVESTIGATIONS)),
        waiting=tuple(
            Waiting(row[0], row[1], row[2], row[3], *map(int, row[4:])) for row in _all(conn, _WAITING)
        ),
    )


def _station(conn: Connection, code: str) -> Any:
    return next(row for row in _all(conn, _STATIONS, area=None) if row.code == code)


def _all(conn: Connection, query: TextClause, **values: object) -> Sequence[Any]:
    return conn.execute(query, values).all()


def _stop(conn: Connection, row: Any) -> Stop:
    last = conn.execute(_SENTENCE, {"seq": row.last}).one()
    return Stop(row.finding, int(row.times), last.at, last.station, last.sentence)


def _at(row: Any, conn: Connection, queries: SqlStationQueries, at: str) -> AtStation:
    state = station_states.read_state(row.area, row.desk)
    person = queries.person(state.person) if state.person else None
    if isinstance(state, LineState):
        doing, is_busy = _line(state, queries), state.job is not None
    else:
        doing, is_busy = _forms(state, row, conn, queries)
    last = queries.last_scan(row.code)
    waits = decide.waits_at(row.area, state, row.code, at if last is None else last.at, queries)
    return AtStation(
        row.code,
        row.area,
        row.name,
        "" if person is None else person.name,
        doing,
        waits.word.value,
        waits.sentence,
        waits.count,
        is_busy,
    )


def _line(state: LineState, queries: SqlStationQueries) -> str:
    if not state.cleared:
        return "not cleared"
    if state.job is None:
        return "cleared, no sleeves open"
    product = queries.product(state.job.gtin)
    title = state.job.gtin if product is None else f'"{product.title}" {product.catalogue_number}'
    if state.carton is None:
        return f"packs {title}, no carton open"
    size = state.job.carton_size if product is None else product.carton_size
    hand = ", a disc waits for its sleeve" if state.pending is not None else ""
    return f"packs {title}, {state.units_in_carton} of {size} in carton {state.carton}{hand}"


def _forms(state: FormState, row: Any, conn: Connection, queries: SqlStationQueries) -> tuple[str, bool]:
    """Return what is told of a station, and whether anything is open there."""
    doing = _press(row, conn) if row.area == "press" else _dock(row, queries) if row.area == "dock" else ""
    act = f"{state.form} is not finished" if state.form else ""
    told = (doing or ("no lot set up" if row.area == "press" else ""), act)
    return ", ".join(filter(None, told)) or "nothing open", bool(doing or act)


def _press(row: Any, conn: Connection) -> str:
    lot = conn.execute(_LOT_ON, {"station": row.code}).first()
    if lot is None:
        return ""
    return f'lot {lot.code} "{lot.title}" {lot.status}, {lot.counter} of {lot.planned} discs'


def _dock(row: Any, queries: SqlStationQueries) -> str:
    pallet, loading = queries.open_pallet(row.code), queries.open_shipment(row.code)
    built = None if pallet is None else queries.pallet(pallet)
    parts = [] if built is None else [f"pallet {built.sscc} open with {built.cartons} cartons"]
    if loading is not None:
        parts.append(f"shipment {loading[0]} loading, {len(queries.pallets_in(loading[0]))} on it")
    return ", ".join(parts)
