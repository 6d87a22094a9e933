"""Who did what at which station, read from the journal itself.

Badge and station of an entry stand in its stored form, each at its place, and in no table. The database looks for them
there, entry after entry, and only what meets is read: a journal of half a million entries takes it well under
a second, and the question is a rare one.
"""

from typing import Any

from sqlalchemy import Connection, text

from tracelink.genealogy.model.facts import ActFact, ReadingFact
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown
from tracelink.store.compact.entry_form import ACTOR_BYTES, FORM, PERSON_AT, STATION_AT, actor_bytes
from tracelink.store.compact.stored_rows import said

_ACTS_SQLITE = text(
    "SELECT stored FROM journal WHERE (substr(stored, 1, 1) = :form AND substr(stored, :place, :length) = :actor) "
    "OR (substr(stored, 1, 1) <> :form AND instr(stored, :needle) > 0) ORDER BY seq"
)
_ACTS_SERVER = text(
    "SELECT stored FROM journal WHERE (substr(stored, 1, 1) = :form AND substr(stored, :place, :length) = :actor) "
    "OR (substr(stored, 1, 1) <> :form AND position(:needle IN stored) > 0) ORDER BY seq"
)
_PLACES = {"station": STATION_AT, "person": PERSON_AT}
_READINGS = text(
    "SELECT stored FROM journal WHERE kind IN "
    "('stack-taken', 'trial-thrown', 'run-changed', 'hopper-emptied', 'press-stopped') ORDER BY seq"
)


def acts_with(conn: Connection, field: str, code: str) -> list[ActFact]:
    """Return the entries of one station or one badge, in journal order.

    Args:
        conn: a connection.
        field: station or person.
        code: its plant code.
    """
    needle = f'"{field}":"{code}"'.encode()
    values = {"form": bytes((FORM,)), "actor": actor_bytes(code) or b"", "needle": needle}
    where = {"place": _PLACES[field], "length": ACTOR_BYTES}
    query = _ACTS_SQLITE if conn.dialect.name == "sqlite" else _ACTS_SERVER
    found = [said(stored) for stored in conn.execute(query, {**values, **where}).scalars()]
    # A body may name a badge too, as the second of two people; the entry's own fields decide.
    return [_act(entry) for entry in found if entry[field] == code]


def press_readings(conn: Connection) -> list[ActFact]:
    """Return every entry of a press in which its counter was read, in journal order."""
    return [_act(said(stored)) for stored in conn.execute(_READINGS).scalars()]


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
