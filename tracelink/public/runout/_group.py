"""A group of plants: their journals in one database, and questions across all of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from runout._arguments import require_place, require_query, require_text

if TYPE_CHECKING:
    from pathlib import Path

    from tracelink.facts.group_plants import PlantStanding, PlantTaken
    from tracelink.genealogy.containment.query import ContainmentQuery
    from tracelink.services.group.group_asking import GroupScope, GroupStock, GroupTrace

# What a method composes is imported when it is called, as for an open ledger.


def publish_journal(place: str | Path) -> bool:
    """Let groups subscribe to the journal of a plant's ledger; returns False if they could already.

    Args:
        place: URL of its database, with the login that owns the tables.

    Raises:
        UsageError: it is a file, or its server does not keep what logical replication needs.
    """
    from tracelink.services.group import group_upkeep  # noqa: PLC0415

    return group_upkeep.publish_journal(require_place(place))


class PlantGroup:
    """The database of a group; nothing of it is open between two calls.

    Every answer is a report from what the plants wrote and the group has taken: `standings` says how far that is.
    """

    def __init__(self, place: str | Path) -> None:
        """Name the database.

        Args:
            place: its URL.

        Raises:
            UsageError: it is the path of a file.
        """
        from tracelink.services.group import group_upkeep  # noqa: PLC0415

        self._group = group_upkeep.open_group(require_place(place))

    def add(self, plant: str, source: str) -> None:
        """Subscribe to the journal of a plant, which has published it.

        Args:
            plant: its name in the group: small letters and digits.
            source: URL of its ledger, with a login that may replicate.

        Raises:
            UsageError: the name is none or taken, or the database is in use for something else.
            StorageFailed: a server does not answer, or the login may not do this.
        """
        require_text("plant", plant)
        require_text("source", source)
        self._group.add(plant, source)

    def take(self) -> list[PlantTaken]:
        """Take what came from every plant into its tables, each entry verified as it is taken.

        Raises:
            NotALedger: it is no database of a group.
        """
        from tracelink.services.group import group_upkeep  # noqa: PLC0415

        return group_upkeep.take(self._group)

    def standings(self) -> list[PlantStanding]:
        """Say how far the group is behind each plant."""
        from tracelink.services.group import group_upkeep  # noqa: PLC0415

        return group_upkeep.how_far(self._group)

    def trace(self, code: str, *, back: bool = True, forward: bool = True) -> GroupTrace:
        """Say what a thing was made of and where it went, in whatever plant.

        Args:
            code: PLANT:CODE, or a code that one thing of the group has.
            back: whether to say what it was made of.
            forward: whether to say where it went.

        Raises:
            UnknownCode, IdentifierError, UsageError: no plant knows the code, or several have another thing of it.
        """
        from tracelink.services.group import group_asking  # noqa: PLC0415

        require_text("code", code)
        return group_asking.trace(self._group, code, back=back, forward=forward)

    def contain(
        self, query: ContainmentQuery, *, progress: Callable[[float], None] = lambda _seconds: None
    ) -> GroupScope:
        """Say what a cause may have touched in every plant, and where each disc is; places nothing.

        Args:
            query: the question; codes as for `trace`.
            progress: called now and then with how many of the query's seconds were used.

        Raises:
            UnknownCode, IdentifierError, UsageError: as for `trace`; or it asks what is within one plant.
        """
        from tracelink.services.group import group_asking  # noqa: PLC0415

        require_query(query)
        return group_asking.scope_of(self._group, query, progress)

    def find(self, code: str) -> GroupStock:
        """Say where a pallet or carton is, by the records of each plant that knows it.

        Args:
            code: an SSCC, location or shipment; with PLANT: before it for one plant.

        Raises:
            UnknownCode, IdentifierError: no plant knows it, or it is no code.
        """
        from tracelink.services.group import group_asking  # noqa: PLC0415

        require_text("code", code)
        return group_asking.find(self._group, code)
