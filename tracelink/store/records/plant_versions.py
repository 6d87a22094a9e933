"""What holds at a time of the things that were set up, where it was changed since: badges, roles, products, settings."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, text

from tracelink.clock import utc_now
from tracelink.ledger.closed_sets import PlantField
from tracelink.ledger.plant.change_entries import BadgeWithdrawn
from tracelink.ledger.times import utc_seconds
from tracelink.store.compact.stored_rows import said
from tracelink.store.statements import short_reads

_CHANGES = text("SELECT field, value, since FROM plant_change WHERE subject = :subject ORDER BY since, seq")
_PRESSED_AT = text("SELECT MIN(at) FROM movement WHERE lot = :lot")
_CHANGED = text("SELECT DISTINCT subject FROM plant_change")
_WITHDRAWN = text(
    "SELECT stored FROM journal WHERE kind = :kind AND seq IN (SELECT seq FROM plant_change) ORDER BY seq"
)
_TIMES = text("SELECT DISTINCT since FROM plant_change ORDER BY since")
_NEWEST = text("SELECT COALESCE(MAX(seq), 0) AS seq FROM plant_change")


@dataclass(frozen=True, slots=True)
class PlantVersion:
    """One thing that holds from a time on."""

    field: PlantField
    value: str
    since: str
    """UTC, whole seconds."""


def versions(conn: Connection, subject: str) -> tuple[PlantVersion, ...]:
    """Return what was changed of a thing, in the order in which it takes effect; empty for most things."""
    found = short_reads.kept(conn, _CHANGES, {"subject": subject})
    return tuple(PlantVersion(PlantField(row.field), row.value, row.since) for row in found)


def changed_things(conn: Connection) -> frozenset[str]:
    """Return the things of which anything was changed."""
    return frozenset(str(row.subject) for row in short_reads.kept(conn, _CHANGED, {}))


def change_times(conn: Connection) -> tuple[str, ...]:
    """Return the times (UTC, whole seconds) from which anything of the plant is another, in order."""
    return tuple(str(row.since) for row in short_reads.kept(conn, _TIMES, {}))


def newest_change(conn: Connection) -> int:
    """Return the entry of the last change of the plant; 0 if there was none."""
    return int(short_reads.kept_first(conn, _NEWEST, {}).seq)


def held_at(changes: Sequence[PlantVersion], field: PlantField, moment: str) -> PlantVersion | None:
    """Return the version of a field that holds at a time; None if what was there first holds.

    Args:
        changes: as `versions` returns them.
        field: what is asked for.
        moment: UTC, whole seconds.
    """
    return next((one for one in reversed(changes) if one.field is field and one.since <= moment), None)


def badges_of_owner(conn: Connection, badge: str) -> frozenset[str]:
    """Return every badge of one person: what was replaced by what, from the entries that say so."""
    bodies = [said(row)["body"] for row in conn.execute(_WITHDRAWN, {"kind": BadgeWithdrawn.kind}).scalars()]
    replaced = {body["person"]: body["replaced_by"] for body in bodies if body["replaced_by"] is not None}
    found = {badge}
    while more := {
        new if old in found else old for old, new in replaced.items() if (old in found) != (new in found)
    }:
        found |= more
    return frozenset(found)


def names_of_lot(
    conn: Connection, lot: str, changes: Sequence[PlantVersion], first: tuple[str, str]
) -> tuple[str, str]:
    """Return title and catalogue number as they were when a lot was pressed; as they are now if it was not yet.

    Args:
        conn: a connection.
        lot: its code.
        changes: of its product, as `versions` returns them.
        first: title and catalogue number as the product was defined.
    """
    if not changes:
        return first
    pressed_at = conn.execute(_PRESSED_AT, {"lot": lot}).scalar()
    return names_at(changes, utc_now() if pressed_at is None else utc_seconds(pressed_at), first)


def names_at(changes: Sequence[PlantVersion], moment: str, first: tuple[str, str]) -> tuple[str, str]:
    """Return title and catalogue number of a product as they were at a time.

    Args:
        changes: of the product, as `versions` returns them.
        moment: UTC, whole seconds.
        first: title and catalogue number as the product was defined.
    """
    title = held_at(changes, PlantField.TITLE, moment)
    number = held_at(changes, PlantField.CATALOGUE_NUMBER, moment)
    return (first[0] if title is None else title.value, first[1] if number is None else number.value)
