"""A group's database made and kept up: plants published and added, what came taken, how far behind it is."""

from __future__ import annotations

from tracelink.facts.group_plants import PlantStanding, PlantTaken
from tracelink.store.group.group_database import GroupDatabase
from tracelink.store.group.group_standing import standings
from tracelink.store.group.publishing import publish
from tracelink.store.group.taking import take_all


def publish_journal(place: str) -> bool:
    """Let groups subscribe to the journal of a plant's ledger; returns False if they could already.

    Raises:
        UsageError: it is a file, or its server does not keep what logical replication needs.
    """
    return publish(place)


def open_group(place: str) -> GroupDatabase:
    """Return the database of a group.

    Raises:
        UsageError: it is the path of a file.
    """
    return GroupDatabase(place)


def take(group: GroupDatabase) -> list[PlantTaken]:
    """Take what came from every plant."""
    return list(take_all(group))


def how_far(group: GroupDatabase) -> list[PlantStanding]:
    """Say how far the group is behind each plant."""
    return list(standings(group))
