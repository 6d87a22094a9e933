"""Changes of what was set up, judged against what stands in the ledger, and made entries of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tracelink.clock import local_midnight
from tracelink.errors import UsageError
from tracelink.ledger.closed_sets import PlantField, PrintStatus
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.plant import change_entries as kinds
from tracelink.ledger.plant import plantchanges as wishes
from tracelink.ledger.time_words import moment
from tracelink.station.common.station_facts import Person
from tracelink.store.office import plant_people
from tracelink.store.office.open_work import open_work, require_room
from tracelink.store.stations.answers import SqlStationQueries
from tracelink.store.stations.station_list import require_station

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking


@dataclass(frozen=True, slots=True)
class ReadyChange:
    """An entry that is ready to be written, and what it says to people."""

    body: EntryBody
    says: str


@dataclass(frozen=True, slots=True)
class ChangeMaker:
    """Who changes the plant, and the ledger as it is in the transaction of the act."""

    booking: Booking
    stamp: Stamp
    by: Person
    second: Person | None

    @property
    def queries(self) -> SqlStationQueries:
        """The ledger, with what was changed in this transaction."""
        return SqlStationQueries(self.booking.connection)

    def agreed(self) -> str:
        """Return the badge of the second person, where two decide."""
        return plant_people.require_agreed(self.booking.connection, self.by, self.second)

    def since(self, wish: wishes.PlantChange, *, may_be_past: bool = False) -> str:
        """Return the time (UTC) from which a change holds: what was made before stays under what held then.

        Raises:
            UsageError: the day is past.
        """
        today = self.stamp.event_time[:10]
        if wish.since is None or wish.since == today:
            return self.stamp.recorded_at
        if wish.since < today and not may_be_past:
            raise UsageError(
                f"since is {wish.since}, before today: what was made since then was made under what held then; expected "
                f"{today} or later, or nothing for now"
            )
        return local_midnight(wish.since)


def joined(maker: ChangeMaker, badge: str, name: str, roles: tuple[str, ...]) -> ReadyChange:
    """Give somebody a badge.

    Raises:
        UsageError: the person has one already, or nobody agreed.
        RefusedByRule: whoever agreed may not.
    """
    plant_people.require_free_name(maker.booking.connection, name, badge)
    body = kinds.PersonJoined(badge, name, roles, maker.agreed())
    return ReadyChange(body, f"{name} joins with badge {badge}: {_roles(roles)}")


def changed(maker: ChangeMaker, wish: wishes.PlantChange) -> list[ReadyChange]:
    """Return the entries that a change comes to.

    Raises:
        UsageError: it changes nothing, names what is not in the ledger, or contradicts what is open.
        RefusedByRule: whoever agreed may not.
    """
    return _MAKERS[type(wish)](maker, wish)


def _person(maker: ChangeMaker, badge: str) -> Person:
    found = maker.queries.person(badge)
    if found is None:
        raise UsageError(f"badge {badge} is not in the system")
    gone = maker.queries.first_change(badge, PlantField.BADGE)
    if gone is not None:
        raise UsageError(f"badge {badge} of {found.name} is withdrawn already ({moment(gone)})")
    return found


def _withdrawn(maker: ChangeMaker, wish: wishes.WithdrawnBadge) -> list[ReadyChange]:
    person, since = _person(maker, wish.badge), maker.since(wish, may_be_past=True)
    used = plant_people.used_since(maker.booking.connection, wish.badge, since)
    said = f"badge {wish.badge} of {person.name} counts no longer{_from(maker, since)}{plant_people.used_words(used)}"
    return [ReadyChange(kinds.BadgeWithdrawn(wish.badge, since, None, used), said)]


def _replaced(maker: ChangeMaker, wish: wishes.ReplacedBadge) -> list[ReadyChange]:
    person, since = _person(maker, wish.badge), maker.since(wish)
    roles = tuple(sorted(person.roles))
    gone = kinds.BadgeWithdrawn(wish.badge, since, wish.new_badge, 0)
    joins = kinds.PersonJoined(wish.new_badge, person.name, roles, maker.agreed())
    said = f"{person.name} has badge {wish.new_badge} instead: {_roles(roles)}; a PIN is set anew"
    return [
        ReadyChange(joins, said),
        ReadyChange(gone, f"badge {wish.badge} of {person.name} counts no longer"),
    ]


def _with_roles(maker: ChangeMaker, wish: wishes.ChangedRoles) -> list[ReadyChange]:
    person, since = _person(maker, wish.badge), maker.since(wish)
    if frozenset(wish.roles) == person.roles:
        raise UsageError(f"{person.name} has these roles already: {_roles(wish.roles)}")
    body = kinds.RolesChanged(wish.badge, wish.roles, since, maker.agreed())
    said = f"roles of {person.name} ({wish.badge}): {_roles(wish.roles)} instead of {_roles(tuple(person.roles))}"
    return [ReadyChange(body, said + _from(maker, since))]


def _product(maker: ChangeMaker, wish: wishes.ChangedProduct) -> list[ReadyChange]:
    queries, since = maker.queries, maker.since(wish)
    queries.at = since
    old = queries.product(wish.gtin)
    if old is None:
        raise UsageError(f"product {wish.gtin} is not in the system")
    pairs = (
        ("title", old.title, wish.title),
        ("catalogue number", old.catalogue_number, wish.catalogue_number),
        ("carton size", old.carton_size, wish.carton_size),
    )
    told = [f"{name} {new} instead of {was}" for name, was, new in pairs if new is not None and new != was]
    if not told:
        raise UsageError(f"nothing changes: {wish.gtin} is like that already")
    if wish.carton_size is not None and since == maker.stamp.recorded_at:
        require_room(maker.booking.connection, wish.gtin, wish.carton_size)
    body = kinds.ProductChanged(wish.gtin, wish.title, wish.catalogue_number, wish.carton_size, since)
    return [ReadyChange(body, f'{wish.gtin} "{old.title}": {", ".join(told)}{_from(maker, since)}')]


def _setting(maker: ChangeMaker, wish: wishes.ChangedSetting) -> list[ReadyChange]:
    queries, since = maker.queries, maker.since(wish)
    queries.at = since
    old = queries.setting(wish.name)
    if old == wish.value:
        raise UsageError(f"nothing changes: {wish.name} is {old} already")
    said = f"setting {wish.name} {wish.value} instead of {old}{_from(maker, since)}"
    return [ReadyChange(kinds.SettingChanged(wish.name, wish.value, since), said)]


def _print(maker: ChangeMaker, wish: wishes.SupersededPrint) -> list[ReadyChange]:
    queries, since = maker.queries, maker.since(wish)
    batch, item = queries.sleeve_batch(wish.code), queries.kit_item(wish.code)
    if batch is None and item is None:
        raise UsageError(f"{wish.code} is not in the system: expected a sleeve batch or a kit item")
    is_old = (
        batch.superseded if batch is not None else item is not None and item.status == PrintStatus.SUPERSEDED
    )
    if is_old or queries.first_change(wish.code, PlantField.PRINT) is not None:
        raise UsageError(f"{wish.code} is superseded already")
    said = f"{wish.code} must not be packed any more{_from(maker, since)}"
    return [ReadyChange(kinds.PrintSuperseded(wish.code, since), said)]


def _station(maker: ChangeMaker, wish: wishes.ClosedStation) -> list[ReadyChange]:
    queries, since = maker.queries, maker.since(wish)
    require_station(maker.booking.connection, wish.station)
    closed = queries.first_change(wish.station, PlantField.STATION)
    if closed is not None:
        raise UsageError(f"station {wish.station} is closed already ({moment(closed)})")
    # What is open on a day to come is finished then (station/closing.py).
    work = open_work(maker.booking.connection, wish.station) if since == maker.stamp.recorded_at else ""
    if work:
        raise UsageError(f"station {wish.station} cannot be closed: {work}; finish it there first")
    return [
        ReadyChange(
            kinds.StationClosed(wish.station, since), f"station {wish.station} is closed{_from(maker, since)}"
        )
    ]


def _roles(roles: tuple[str, ...]) -> str:
    return ", ".join(sorted(roles)) or "no role"


def _from(maker: ChangeMaker, since: str) -> str:
    return "" if since == maker.stamp.recorded_at else f" from {moment(since)} on"


_MAKERS: dict[type[wishes.PlantChange], Callable[..., list[ReadyChange]]] = {
    wishes.WithdrawnBadge: _withdrawn,
    wishes.ReplacedBadge: _replaced,
    wishes.ChangedRoles: _with_roles,
    wishes.ChangedProduct: _product,
    wishes.ChangedSetting: _setting,
    wishes.SupersededPrint: _print,
    wishes.ClosedStation: _station,
}
