"""What a screen shows beside a verdict: the acts and reasons that a station takes now, and what was packed last."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from sqlalchemy import Connection

from tracelink.identity.rawlines import raw_act, raw_plant
from tracelink.printing.act_meanings import acts_of
from tracelink.store.office import station_now
from tracelink.store.office.station_now import PackedUnit, StationNow
from tracelink.store.stations.answers import SqlStationQueries
from tracelink.store.stations.answers_plant import Known

_UNITS = 5


@dataclass(frozen=True, slots=True)
class ScreenButton:
    """A card that a station takes now; touching it on a screen is scanning it."""

    raw: str
    """The line that the card's scan would be."""
    word: str
    """Of an act its word, of a reason its text."""
    meaning: str
    """What stands beside the word on the card; of a reason its code."""


@dataclass(frozen=True, slots=True)
class ScreenBeside:
    """What a screen shows beside a verdict."""

    acts: tuple[ScreenButton, ...]
    reasons: tuple[ScreenButton, ...]
    awaited: str
    """Kind of thing that is scanned or keyed next, such as spindle."""
    keyed: tuple[str, ...]
    """What may be keyed for it: pin, number, text."""
    units: tuple[PackedUnit, ...]
    """Of a packing line those packed last, newest first."""
    is_unfinished: bool
    """True while an act asks for something: the acts are then those that put it away, CANCEL first."""


@dataclass(slots=True)
class ScreenMemory:
    """What is found out of a station once, and asked beside every verdict."""

    known: Known = field(default_factory=dict)
    cartons: list[str] | None = None
    """Those that were opened last at a line, newest first; None if nobody looked yet."""


def beside(
    conn: Connection, code: str, at: str, memory: ScreenMemory, give_way: Callable[[], None]
) -> ScreenBeside:
    """Return what a screen shows beside a verdict.

    Args:
        conn: a connection that reads one state.
        code: a station of the ledger.
        at: local time.
        memory: of the screen.
        give_way: called between two acts that are judged; what it raises ends all of it.
    """
    now = station_now.station_now(conn, code)
    queries = SqlStationQueries(conn, memory.known)
    taken = station_now.taken_next(queries, code, now, at, give_way)
    acts = tuple(
        ScreenButton(raw_act(row.word), row.word, row.meaning)
        for row in acts_of(now.area)
        if row.word in taken.acts
    )
    reasons = tuple(ScreenButton(raw_plant(card.code), card.text, card.code) for card in taken.reasons)
    if memory.cartons is None:
        memory.cartons = station_now.last_cartons(conn, code, _UNITS)
    memory.cartons = _with_open(now, memory.cartons)
    units = tuple(station_now.last_units(conn, now, memory.cartons, _UNITS))
    keyed = tuple(each.value for each in taken.awaited.keyed)
    return ScreenBeside(acts, reasons, taken.awaited.thing.value, keyed, units, taken.is_unfinished)


def _with_open(now: StationNow, cartons: Sequence[str]) -> list[str]:
    known = list(cartons)
    if now.carton is not None and now.carton not in known:
        known.insert(0, now.carton)
    return known[:_UNITS]
