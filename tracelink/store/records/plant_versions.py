"""What holds at a time of the things that were set up, where it was changed since: badges, roles, products, settings."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, text

from tracelink.ledger.closed_sets import PlantField
from tracelink.store.database import sqlite_reads

_CHANGES = text("SELECT field, value, since FROM plant_change WHERE subject = :subject ORDER BY since, seq")
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
    found = sqlite_reads.rows(conn, _CHANGES, {"subject": subject})
    return tuple(PlantVersion(PlantField(row.field), row.value, row.since) for row in found)


def newest_change(conn: Connection) -> int:
    """Return the entry of the last change of the plant; 0 if there was none."""
    return int(sqlite_reads.first(conn, _NEWEST, {}).seq)


def held_at(changes: Sequence[PlantVersion], field: PlantField, moment: str) -> PlantVersion | None:
    """Return the version of a field that holds at a time; None if what was there first holds.

    Args:
        changes: as `versions` returns them.
        field: what is asked for.
        moment: UTC, whole seconds.
    """
    return next((one for one in reversed(changes) if one.field is field and one.since <= moment), None)
