"""What was set up, as it holds at the time of the scan: people, products, settings, stations; a part of `SqlStationQueries`."""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import text

from tracelink.clock import utc_now
from tracelink.ledger.closed_sets import PlantField
from tracelink.ledger.plant.default_settings import DEFAULT_SETTINGS
from tracelink.ledger.times import utc_seconds
from tracelink.station.common import station_facts
from tracelink.store.records import plant_versions
from tracelink.store.records.plant_versions import PlantVersion
from tracelink.store.stations.asking import Asking

_PERSON = text("SELECT name FROM person WHERE code = :code")
_ROLES = text("SELECT role FROM person_role WHERE person = :code")
_PRODUCT = text(
    "SELECT p.*, (SELECT COUNT(*) FROM product_part q WHERE q.gtin = p.gtin) AS discs "
    "FROM product p WHERE p.gtin = :gtin"
)
_PARTS = text(
    "SELECT q.gtin, p.title, q.piece, q.total, q.matrix_a, q.matrix_b FROM product_part q "
    "JOIN product p ON p.gtin = q.gtin WHERE q.gtin = :gtin ORDER BY q.piece"
)
_SETTING = text("SELECT value FROM setting WHERE name = :name")
_DEFAULTS = {setting.name: setting.value for setting in DEFAULT_SETTINGS}

Known = dict[tuple[str, str], Any]
"""Facts that never change once they are written, by kind and code; emptied when something of the plant is changed."""

_NEWEST = ("plant", "newest change")
_CHANGED = ("plant", "changed things")


class PlantAnswers(Asking):
    """Answers about what was set up, inside one transaction."""

    _known: Known

    at: str | None = None
    """Local time of the scan that is judged: what holds then is answered; None for now."""
    _has_looked = False

    def look_again(self) -> None:
        """Take notice of changes of the plant that were written in this very transaction."""
        self._has_looked = False
        self.entry_written()

    def _keep(self, kind: str, code: str, find: Callable[[], Any]) -> Any:
        if not self._has_looked:
            self._forget_if_changed()
        key = (kind, code)
        found = self._known.get(key)
        if found is None:
            found = find()
            if found is not None:
                self._known[key] = found
        return found

    def _forget_if_changed(self) -> None:
        # Another program may have changed the plant since the ledger was opened here.
        newest = plant_versions.newest_change(self._conn)
        if self._known.get(_NEWEST, newest) != newest:
            self._known.clear()
        self._known[_NEWEST] = newest
        self._has_looked = True

    def _held(self, subject: str, field: PlantField) -> PlantVersion | None:
        """The change of a thing that holds at the time that is asked for; None if it is as it was at first."""
        if not self._has_looked:
            self._forget_if_changed()
        # Few things were changed, and this is asked a dozen times a scan.
        changed: frozenset[str] | None = self._known.get(_CHANGED)
        if changed is None:
            changed = self._known[_CHANGED] = plant_versions.changed_things(self._conn)
        if subject not in changed:
            return None
        changes = self._keep("changes", subject, lambda: plant_versions.versions(self._conn, subject))
        return plant_versions.held_at(changes, field, self._moment)

    @property
    def _moment(self) -> str:
        return utc_now() if self.at is None else utc_seconds(self.at)

    def first_change(self, subject: str, field: PlantField) -> str | None:
        """The time (UTC) of the first change of a thing, also one that does not hold yet; None if there is none."""
        changes = self._keep("changes", subject, lambda: plant_versions.versions(self._conn, subject))
        return next((one.since for one in changes if one.field is field), None)

    def person(self, code: str) -> station_facts.Person | None:
        """Who has this badge."""
        found: station_facts.Person | None = self._keep("person", code, lambda: self._find_person(code))
        if found is None:
            return None
        roles, badge = self._held(code, PlantField.ROLES), self._held(code, PlantField.BADGE)
        if roles is not None:
            found = replace(found, roles=frozenset(filter(None, roles.value.split(","))))
        return found if badge is None else replace(found, withdrawn=badge.since)

    def next_change(self) -> str | None:
        """The first time (UTC) after the scan from which anything that was set up is another; None if none is known."""
        times: tuple[str, ...] = self._keep(
            "plant", "change times", lambda: plant_versions.change_times(self._conn)
        )
        place = bisect_right(times, self._moment)
        return times[place] if place < len(times) else None

    def _find_person(self, code: str) -> station_facts.Person | None:
        row = self._first(_PERSON, code=code)
        roles = frozenset(self._scalars(_ROLES, code=code))
        if row is None:
            return None
        others = plant_versions.badges_of_owner(self._conn, code) - {code}
        return station_facts.Person(code, row.name, roles, other_badges=others)

    def product(self, gtin: str) -> station_facts.Product | None:
        """The product of a GTIN-13."""
        found: station_facts.Product | None = self._keep("product", gtin, lambda: self._find_product(gtin))
        if found is None:
            return None
        title, size = self._held(gtin, PlantField.TITLE), self._held(gtin, PlantField.CARTON_SIZE)
        number = self._held(gtin, PlantField.CATALOGUE_NUMBER)
        if title is None and size is None and number is None:
            return found
        return replace(
            found,
            title=found.title if title is None else title.value,
            catalogue_number=found.catalogue_number if number is None else number.value,
            carton_size=found.carton_size if size is None else int(size.value),
        )

    def _find_product(self, gtin: str) -> station_facts.Product | None:
        row = self._first(_PRODUCT, gtin=gtin)
        if row is None:
            return None
        return station_facts.Product(
            gtin=row.gtin,
            catalogue_number=row.catalogue_number,
            title=row.title,
            numbered=bool(row.numbered),
            carton_size=row.carton_size,
            discs=row.discs,
        )

    def parts(self, gtin: str) -> Sequence[station_facts.PartFact]:
        """The discs of a product in order."""
        found: list[station_facts.PartFact] | None = self._keep("parts", gtin, lambda: self._find_parts(gtin))
        title = self._held(gtin, PlantField.TITLE) if found else None
        return (found or []) if title is None else [replace(part, title=title.value) for part in found or []]

    def _find_parts(self, gtin: str) -> list[station_facts.PartFact] | None:
        return [station_facts.PartFact(*row) for row in self._all(_PARTS, gtin=gtin)] or None

    def setting(self, name: str) -> int:
        """A limit or trade number of this plant."""
        changed = self._held(name, PlantField.SETTING)
        if changed is not None:
            return int(changed.value)
        return int(self._keep("setting", name, lambda: self._find_setting(name)))

    def _find_setting(self, name: str) -> int:
        row = self._first(_SETTING, name=name)
        # A ledger made before the setting was thought of goes by its default.
        return _DEFAULTS[name] if row is None else int(row.value)

    def superseded_since(self, code: str) -> str | None:
        """The time (UTC) from which a sleeve batch or kit item must not be packed; None if it was not changed."""
        found = self._held(code, PlantField.PRINT)
        return None if found is None else found.since

    def station_closed(self, code: str) -> str | None:
        """The time (UTC) from which nobody works at a station; None if it is open."""
        found = self._held(code, PlantField.STATION)
        return None if found is None else found.since
