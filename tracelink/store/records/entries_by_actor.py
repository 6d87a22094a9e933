"""Who did what at which station, read from the journal itself.

Badge and station of an entry stand in its stored form, each at its place. The database looks for them there in those parts of
the journal that hold the station, the badge or the kind (`store/journal/blocks.py`), and only what meets is read.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import Connection, text

from tracelink.genealogy.model.facts import ActFact, ReadingFact
from tracelink.ledger.kinds.press import HopperEmptied, PressStopped, RunChanged, StackTaken, TrialThrown
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown
from tracelink.store.compact.entry_form import (
    ACTOR_BYTES,
    FORM,
    OLDER_FORM,
    PERSON_AT,
    STATION_AT,
    actor_bytes,
)
from tracelink.store.compact.stored_rows import said
from tracelink.store.database.in_lists import text_list
from tracelink.store.journal.blocks import rows_with

_ACTS_SQLITE = text(
    "SELECT stored FROM journal WHERE seq > :after AND seq <= :upto AND "
    "((substr(stored, 1, 1) IN (:form, :older) AND substr(stored, :place, :length) = :actor) "
    "OR (substr(stored, 1, 1) NOT IN (:form, :older) AND instr(stored, :needle) > 0)) ORDER BY seq"
)
_ACTS_SERVER = text(
    "SELECT stored FROM journal WHERE seq > :after AND seq <= :upto AND "
    "((substr(stored, 1, 1) IN (:form, :older) AND substr(stored, :place, :length) = :actor) "
    "OR (substr(stored, 1, 1) NOT IN (:form, :older) AND position(:needle IN stored) > 0)) ORDER BY seq"
)
_PLACES = {"station": STATION_AT, "person": PERSON_AT}
_READING_KINDS = tuple(
    body.kind for body in (StackTaken, TrialThrown, RunChanged, HopperEmptied, PressStopped)
)
_OF_KIND = text(
    "SELECT stored FROM journal WHERE seq > :after AND seq <= :upto AND kind IN :kinds ORDER BY seq"
).bindparams(text_list("kinds"))


def acts_with(conn: Connection, field: str, code: str) -> list[ActFact]:
    """Return the entries of one station or one badge, in journal order.

    Args:
        conn: a connection.
        field: station or person.
        code: its plant code.
    """
    needle = f'"{field}":"{code}"'.encode()
    forms = {"form": bytes((FORM,)), "older": bytes((OLDER_FORM,))}
    values = {**forms, "actor": actor_bytes(code) or b"", "needle": needle}
    where = {"place": _PLACES[field], "length": ACTOR_BYTES}
    query = _ACTS_SQLITE if conn.dialect.name == "sqlite" else _ACTS_SERVER
    found = [said(row.stored) for row in rows_with(conn, [code], query, {**values, **where})]
    # A body may name a badge too, as the second of two people; the entry's own fields decide.
    return [_act(entry) for entry in found if entry[field] == code]


def press_readings(conn: Connection) -> list[ActFact]:
    """Return every entry of a press in which its counter was read, in journal order."""
    return [_act(said(stored)) for stored in stored_of_kinds(conn, _READING_KINDS)]


def stored_of_kinds(conn: Connection, kinds: Sequence[str]) -> Iterator[bytes]:
    """Yield the stored form of every entry of some kinds, in journal order."""
    for row in rows_with(conn, kinds, _OF_KIND, {"kinds": list(kinds)}):
        yield row.stored


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
