"""The areas of an open ledger: questions and acts by whose work they are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracelink.errors import UsageError

if TYPE_CHECKING:
    from runout._browsers import Browsers
    from runout._cases import Cases
    from runout._drills import Drills
    from runout._hall import Hall
    from runout._investigations import Investigations
    from runout._journal import Journal
    from runout._lab import Lab
    from runout._labels import Labels
    from runout._notices import Notices
    from runout._partners import Partners
    from runout._people import People
    from runout._scopes import Scopes
    from runout._stations import FloorStations
    from runout._upkeep import Upkeep
    from runout._warehouse import Warehouse
    from tracelink.store.ledger import Ledger

# Each area is imported when it is first asked for: opening a ledger and booking a scan must not pay for the others.


class Access:
    """The ledger behind an open one and its areas: opened once, closed once for all of them."""

    def __init__(self, ledger: Ledger) -> None:
        self.place = ledger.place
        self._ledger: Ledger | None = ledger

    @property
    def is_open(self) -> bool:
        """True if it was not closed yet."""
        return self._ledger is not None

    @property
    def ledger(self) -> Ledger:
        """The ledger.

        Raises:
            UsageError: it is closed.
        """
        if self._ledger is None:
            raise UsageError(f"the ledger {self.place} is closed: open it again with open_ledger")
        return self._ledger

    def close(self) -> None:
        """Close all connections; closing twice does no harm."""
        if self._ledger is not None:
            self._ledger.close()
            self._ledger = None


class Area:
    """What the areas have in common."""

    def __init__(self, access: Access) -> None:
        self._access = access

    @property
    def _ledger(self) -> Ledger:
        return self._access.ledger


class Areas:
    """Gives an open ledger its areas."""

    _access: Access

    @property
    def browsers(self) -> Browsers:
        """Browsers that may open stations."""
        from runout._browsers import Browsers  # noqa: PLC0415

        return Browsers(self._access)

    @property
    def cases(self) -> Cases:
        """Containment cases."""
        from runout._cases import Cases  # noqa: PLC0415

        return Cases(self._access)

    @property
    def drills(self) -> Drills:
        """Trace exercises."""
        from runout._drills import Drills  # noqa: PLC0415

        return Drills(self._access)

    @property
    def hall(self) -> Hall:
        """Faults that tests of built pieces found, and the pace of the assembly line."""
        from runout._hall import Hall  # noqa: PLC0415

        return Hall(self._access)

    @property
    def investigations(self) -> Investigations:
        """Differences that are looked into."""
        from runout._investigations import Investigations  # noqa: PLC0415

        return Investigations(self._access)

    @property
    def journal(self) -> Journal:
        """What shows others that the entries are whole."""
        from runout._journal import Journal  # noqa: PLC0415

        return Journal(self._access)

    @property
    def lab(self) -> Lab:
        """Which discs the lab draws and what it measured, what quality holds and lifts."""
        from runout._lab import Lab  # noqa: PLC0415

        return Lab(self._access)

    @property
    def labels(self) -> Labels:
        """Numbers of labels, and what became of labels."""
        from runout._labels import Labels  # noqa: PLC0415

        return Labels(self._access)

    @property
    def notices(self) -> Notices:
        """What consignees of a case are told."""
        from runout._notices import Notices  # noqa: PLC0415

        return Notices(self._access)

    @property
    def partners(self) -> Partners:
        """Documents of suppliers and customers."""
        from runout._partners import Partners  # noqa: PLC0415

        return Partners(self._access)

    @property
    def people(self) -> People:
        """Badges, roles and PINs."""
        from runout._people import People  # noqa: PLC0415

        return People(self._access)

    @property
    def scopes(self) -> Scopes:
        """Scopes that were written to a file or kept in a case."""
        from runout._scopes import Scopes  # noqa: PLC0415

        return Scopes(self._access)

    @property
    def stations(self) -> FloorStations:
        """Live stations, recorded scans, boards, what was refused, what was recorded late."""
        from runout._stations import FloorStations  # noqa: PLC0415

        return FloorStations(self._access)

    @property
    def upkeep(self) -> Upkeep:
        """Backups, and tables made anew."""
        from runout._upkeep import Upkeep  # noqa: PLC0415

        return Upkeep(self._access)

    @property
    def warehouse(self) -> Warehouse:
        """Where things are, orders, stock kept for them, packing lists."""
        from runout._warehouse import Warehouse  # noqa: PLC0415

        return Warehouse(self._access)
