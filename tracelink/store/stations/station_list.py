"""The stations of the plant, for whoever sits down at one."""

import json

from sqlalchemy import Connection, text

from tracelink.errors import UsageError

_OF_AREA = text(
    "SELECT code, name FROM station WHERE area = :area AND NOT EXISTS (SELECT 1 FROM plant_change c "
    "WHERE c.subject = station.code AND c.field = 'station') ORDER BY code"
)
_ONE = text("SELECT 1 FROM station WHERE code = :station")
_STATE = text("SELECT desk FROM station WHERE code = :code")


def stations_of(conn: Connection, area: str) -> dict[str, str]:
    """Return code -> name of the stations of a work area that are not closed, by code."""
    return {row.code: row.name for row in conn.execute(_OF_AREA, {"area": area})}


def is_station(conn: Connection, code: str) -> bool:
    """Return whether the ledger knows a station of that code."""
    return conn.execute(_ONE, {"station": code}).first() is not None


def require_station(conn: Connection, code: str) -> None:
    """Raise UsageError unless the ledger knows a station of that code."""
    if not is_station(conn, code):
        raise UsageError(f"station {code} is not in the system")


def awaits_pin(conn: Connection, code: str) -> bool:
    """Return whether the next line at a station may be a PIN, which is not to be shown."""
    return "pin" in json.loads(conn.execute(_STATE, {"code": code}).scalar_one())
