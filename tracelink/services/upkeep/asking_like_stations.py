"""How long the ledger takes to answer what stations ask: asked by the monitor itself, one question after the other.

Nothing of it is kept in the ledger: a station would have to write how long it took, and that would cost it more than it tells. So the
questions are asked anew, of the things with the highest codes, and what each open station waits for. Each is asked up to three times
and the quickest counts: what another program did to the machine meanwhile says nothing of the ledger.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

from sqlalchemy import Connection

from tracelink.clock import local_now, running_seconds
from tracelink.store.office.board import waits_at
from tracelink.store.office.highest_codes import highest_codes
from tracelink.store.stations.answers import SqlStationQueries
from tracelink.store.stations.last_scans import last_scans

LONGEST_S = 10
"""Nothing more is asked after so long."""

_TRIES = 3

Question = Callable[[], object]


@dataclass(frozen=True, slots=True)
class SlowestAnswer:
    """The question that took longest."""

    ms: int
    question: str
    asked: int
    """How many questions were asked."""


def slowest_answer(conn: Connection) -> SlowestAnswer:
    """Ask what stations ask, and say what took longest.

    Args:
        conn: a connection that reads one state.
    """
    ends = running_seconds() + LONGEST_S
    slowest, asked = SlowestAnswer(0, "", 0), 0
    for named, question in _questions(conn):
        asked += 1
        ms = int(1000 * min(_timed(question, ends)))
        slowest = max(slowest, SlowestAnswer(ms, named, 0), key=lambda one: one.ms)
        if running_seconds() > ends:
            break
    return SlowestAnswer(slowest.ms, slowest.question, asked)


def _timed(question: Question, ends: float) -> Iterator[float]:
    """Yield how many seconds it takes each time."""
    for _ in range(_TRIES):
        begun = running_seconds()
        question()
        ended = running_seconds()
        yield ended - begun
        if ended > ends:
            return


def _questions(conn: Connection) -> Iterator[tuple[str, Question]]:
    for one in last_scans(conn):
        yield f"what station {one.station} waits for", partial(waits_at, conn, one.station, local_now())
    for kind, code in highest_codes(conn).items():
        yield f"what {kind} {code} is, and which hold is on it", partial(_OF_A[kind], conn, code)


def _lot(conn: Connection, code: str) -> None:
    queries = SqlStationQueries(conn)
    queries.lot(code)
    queries.hold_on(code)


def _spindle(conn: Connection, code: str) -> None:
    queries = SqlStationQueries(conn)
    queries.spindle(code)
    queries.hold_on_spindle(code)


def _carton(conn: Connection, code: str) -> None:
    queries = SqlStationQueries(conn)
    queries.carton(code)
    queries.carton_content(code)
    queries.hold_on_carton(code)


def _pallet(conn: Connection, code: str) -> None:
    queries = SqlStationQueries(conn)
    queries.pallet(code)
    queries.hold_on_pallet(code)


_OF_A = {"lot": _lot, "spindle": _spindle, "carton": _carton, "pallet": _pallet}
"""Kind of thing -> what a station asks of one."""
