"""Who did what at which station, read from the journal itself.

Badge and station of an entry stand in its canonical bytes and in no table. The database looks for them in the
bytes, entry after entry, and only what meets is read: a journal of half a million entries takes it well under
a second, and the question is a rare one.
"""

import json
from typing import Any

from sqlalchemy import Connection, text

from tracelink.genealogy.model.facts import ActFact, ReadingFact
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown

_LIKE_SQLITE = text("SELECT canonical FROM journal WHERE instr(canonical, :needle) > 0 ORDER BY seq")
_LIKE_SERVER = text("SELECT canonical FROM journal WHERE position(:needle IN canonical) > 0 ORDER BY seq")
_READINGS = text(
    "SELECT canonical FROM journal WHERE kind IN "
    "('stack-taken', 'trial-thrown', 'run-changed', 'hopper-emptied', 'press-stopped') ORDER BY seq"
)


def acts_with(conn: Connection, field: str, code: str) -> list[ActFact]:
    """Return the entries of one station or one badge, in journal order.

    Args:
        conn: a connection.
        field: station or person.
        code: its plant code.
    """
    query = _LIKE_SQLITE if conn.dialect.name == "sqlite" else _LIKE_SERVER
    needle = f'"{field}":"{code}"'.encode()
    found = [json.loads(row.canonical) for row in conn.execute(query, {"needle": needle})]
    # A body may name a badge too, as the second of two people; the entry's own fields decide.
    return [_act(entry) for entry in found if entry[field] == code]


def press_readings(conn: Connection) -> list[ActFact]:
    """Return every entry of a press in which its counter was read, in journal order."""
    return [_act(json.loads(row.canonical)) for row in conn.execute(_READINGS)]


def _act(entry: dict[str, Any]) -> ActFact:
    body = entry["body"]
    reading = body.get("reading")
    return ActFact(
        seq=entry["seq"],
        kind=entry["kind"],
        station=entry["station"],
        person=entry["person"],
        at=entry["event_time"],
        since=body.get("first_at") or entry["event_time"],
        reading=ReadingFact(reading["lot"], reading["before"], reading["counter"]) if reading else None,
        tool=body["tool"] if entry["kind"] in (ToolGrown.kind, MasterRegistered.kind) else None,
    )
