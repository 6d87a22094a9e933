"""A station between two scans: what it takes next, what it booked last, the units it packed last."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from sqlalchemy import Connection, bindparam, select, text

from tracelink.errors import RefusedByRule
from tracelink.identity.plantcode import CodeKind
from tracelink.identity.rawlines import is_picture
from tracelink.identity.symbology import CODE_128
from tracelink.ledger.packs import RawScan, storable
from tracelink.ledger.pins import PIN_MARK
from tracelink.station import station_states
from tracelink.station.common.awaited import AwaitedThing
from tracelink.station.line.state import LineState
from tracelink.station.takes_next import TakesNext, takes_next
from tracelink.store.database.tables_stations import last_scan, station
from tracelink.store.statements import short_reads
from tracelink.store.stations.answers import SqlStationQueries

_NOW = select(station.c.area, station.c.desk, station.c.last_number).where(
    station.c.code == bindparam("code")
)
_CARTONS = text("SELECT sscc FROM carton WHERE station = :station ORDER BY seq DESC LIMIT :most")
_CARTON = text(
    "SELECT c.units, p.title, p.catalogue_number FROM carton c JOIN product p ON p.gtin = c.gtin WHERE c.sscc = :sscc"
)
_NUMBERS = text(
    "SELECT number FROM numbered_sleeve WHERE carton = :sscc ORDER BY seq DESC, number DESC LIMIT :most"
)


@dataclass(frozen=True, slots=True)
class PackedUnit:
    """One unit that a line packed."""

    title: str
    edition: str
    """Catalogue number."""
    number: str
    """Of its sleeve; empty text for editions without numbers."""
    carton: str


@dataclass(frozen=True, slots=True)
class StationNow:
    """A station between two scans."""

    area: str
    state: station_states.StationState
    last_number: int
    """Number of the last scan booked; 0 if there was none."""

    @property
    def carton(self) -> str | None:
        """The open carton of a packing line."""
        return self.state.carton if isinstance(self.state, LineState) else None


def station_now(conn: Connection, code: str) -> StationNow:
    """Return a station of the ledger as it stands."""
    row = short_reads.first(conn, _NOW, {"code": code})
    return StationNow(row.area, station_states.read_state(row.area, row.desk), row.last_number)


def taken_next(
    queries: SqlStationQueries,
    code: str,
    now: StationNow,
    at: str,
    give_way: Callable[[], None] = lambda: None,
) -> TakesNext:
    """Return what a station takes next.

    Args:
        queries: the ledger in the state of `now`.
        code: the station.
        now: as it stands.
        at: local time.
        give_way: as for `takes_next`.
    """
    scan = RawScan(now.last_number + 1, at, "")
    return takes_next(now.area, now.state, code, scan, queries, give_way=give_way)


def is_last_scan(conn: Connection, code: str, number: int, raw: str | None) -> bool:
    """Say whether the last scan booked at a station has a number and came from a line; None is any picture."""
    row = conn.execute(select(last_scan.c.number, last_scan.c.raw).where(last_scan.c.station == code)).first()
    if row is None or row.number != number:
        return False
    # A PIN is kept nowhere, so that one keyed line is as good as another.
    return is_picture(row.raw) if raw is None else row.raw in (storable(raw), PIN_MARK)


def require_takeover(conn: Connection, code: str, raw: str, at: str) -> None:
    """Let a line take a station over: a badge, or the PIN that one asked for.

    Raises:
        RefusedByRule: it is something else, or the station waits for a second person, who is to stand there.
    """
    now = station_now(conn, code)
    thing = taken_next(SqlStationQueries(conn), code, now, at).awaited.thing
    if thing is AwaitedThing.BADGE and now.state.person is not None:
        raise RefusedByRule(
            f"station {code} waits for the badge of a second person where it is open: finish or cancel that there first"
        )
    is_pin = thing is AwaitedThing.PIN and raw[:1] != "]"
    if not is_pin and not raw.startswith(CODE_128 + CodeKind.PERSON.value):
        raise RefusedByRule(
            f"station {code} is open in another place: expected your badge, which opens it here; nothing else is taken"
        )


def last_cartons(conn: Connection, code: str, most: int) -> list[str]:
    """Return the cartons that were opened last at a line, newest first."""
    return [row.sscc for row in conn.execute(_CARTONS, {"station": code, "most": most})]


def last_units(conn: Connection, now: StationNow, cartons: Sequence[str], most: int) -> list[PackedUnit]:
    """Return the units that a line packed last, newest first.

    Args:
        conn: a connection that reads the state of `now`.
        now: the line.
        cartons: that were opened there last, newest first.
        most: how many units at most.
    """
    return list(islice(_units(conn, now, cartons, most), most))


def _units(conn: Connection, now: StationNow, cartons: Sequence[str], most: int) -> Iterator[PackedUnit]:
    for sscc in cartons:
        row = short_reads.first(conn, _CARTON, {"sscc": sscc})
        spooled = now.state.run if isinstance(now.state, LineState) and sscc == now.carton else None
        numbers = list(reversed(spooled.numbers)) if spooled is not None else []
        numbers += [found.number for found in short_reads.rows(conn, _NUMBERS, {"sscc": sscc, "most": most})]
        for place in range(row.units + (spooled.units if spooled is not None else 0)):
            number = numbers[place] if place < len(numbers) else ""
            yield PackedUnit(row.title, row.catalogue_number, number, sscc)
