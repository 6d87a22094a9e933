"""The plants of a group, as its database knows them: how far each was taken, and whether anything comes from it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tracelink.facts.dock_stock import ThingFound
from tracelink.ledger.proof.chain import Head


class PlantLink(StrEnum):
    """What the group's database knows of the way from a plant."""

    FOLLOWED = "followed"
    """Its entries come as they are written."""
    FIRST_COPY = "first copy"
    """What it had when it was added still comes; nothing is taken before all of it is there."""
    AWAY = "away"
    """Nothing comes: its server, or the way to it, is down."""
    STOPPED = "stopped"
    """What came does not follow what was taken: a person has to look."""


@dataclass(frozen=True, slots=True)
class PlantStanding:
    """How far a group is behind one of its plants."""

    plant: str
    """Its name in the group."""
    link: PlantLink
    head: Head
    """Last entry that was taken, and its hash."""
    recorded_at: str | None
    """When that entry was recorded at the plant, UTC; None before the first."""
    waiting: int
    """Entries that came and are not taken yet."""
    heard_at: str | None
    """When its server was last heard of, UTC; None if that is not known."""
    why: str = ""
    """Why nothing more is taken; empty where nothing is wrong."""


@dataclass(frozen=True, slots=True)
class PlantHead:
    """Up to which entry of a plant an answer looked."""

    plant: str
    head: Head
    recorded_at: str | None
    """When that entry was recorded at the plant, UTC; None before the first."""


@dataclass(frozen=True, slots=True)
class FoundInPlant:
    """Where something is, by the records of one plant."""

    plant: str
    thing: ThingFound


@dataclass(frozen=True, slots=True)
class PlantTaken:
    """What was taken of one plant."""

    plant: str
    entries: int
    """Entries that were taken now."""
    head: Head
    """The last one taken so far."""
    link: PlantLink
    why: str = ""
    """Why not more; empty where all that came was taken."""
