"""Entries that change what was set up: badges, roles, products, settings, prints, stations; each from a time on.

What was there before stays true for what was made under it: the first form of a thing keeps its row, and each change is a
row of its own with the time from which it holds. Rules ask for what holds at the time of the event.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.closed_sets import PlantField, PrintStatus
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, finding_row
from tracelink.ledger.kinds.setup import enrolled
from tracelink.ledger.origin import BY_QUALITY, Origin

_OF_PEOPLE = ExportRule(taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS, holds_name=True)
_RULE = ExportRule(taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS)
_BY_QUALITY = BY_QUALITY.needs_reason()
_BY_TWO = _BY_QUALITY.needs_second("second_person")

WITHDRAWN = "withdrawn"
CLOSED = "closed"


def roles_text(roles: tuple[str, ...]) -> str:
    """Return roles as the table of changes keeps them."""
    return ",".join(sorted(roles))


def _row(entry: Entry, subject: str, field: PlantField, value: str, since: str) -> Insert:
    row = {"seq": entry.seq, "subject": subject, "field": field, "value": value, "since": since}
    return Insert("plant_change", row)


@dataclass(frozen=True, slots=True)
class PersonJoined:
    """A person got a badge after the ledger was made; two people agreed."""

    kind: ClassVar[str] = "person-joined"
    export: ClassVar[ExportRule] = _OF_PEOPLE
    origin: ClassVar[Origin] = _BY_TWO
    person: str
    name: str
    roles: tuple[str, ...]
    second_person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One person row and one row per role."""
        yield from enrolled(entry, self.person, self.name, self.roles)


@dataclass(frozen=True, slots=True)
class RolesChanged:
    """A person may do other things from a time on; two people agreed."""

    kind: ClassVar[str] = "roles-changed"
    export: ClassVar[ExportRule] = _RULE
    origin: ClassVar[Origin] = _BY_TWO
    person: str
    roles: tuple[str, ...]
    since: str
    """UTC."""
    second_person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One change."""
        yield _row(entry, self.person, PlantField.ROLES, roles_text(self.roles), self.since)


@dataclass(frozen=True, slots=True)
class BadgeWithdrawn:
    """A badge counts no longer: its owner left, or lost it."""

    kind: ClassVar[str] = "badge-withdrawn"
    export: ClassVar[ExportRule] = _RULE
    origin: ClassVar[Origin] = _BY_QUALITY
    person: str
    since: str
    """UTC; it may lie before the entry."""
    replaced_by: str | None
    """The badge that its owner has instead; None if they left."""
    used_since: int
    """Entries that name it and happened after that time, 0 or more."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One change; a finding if the badge was used after its time."""
        yield _row(entry, self.person, PlantField.BADGE, WITHDRAWN, self.since)
        if self.used_since:
            yield finding_row(
                entry,
                finding=FindingCode.BADGE_USED_AFTER,
                subject=self.person,
                expected="no entry after it was withdrawn",
                found=f"{self.used_since}",
                sentence=f"Badge {self.person} counts no longer since {self.since}, and was used after that: "
                f"{self.used_since} times. Look what was done with it.",
            )


@dataclass(frozen=True, slots=True)
class ProductChanged:
    """A product has another title, catalogue number or carton size from a time on; None for what stays."""

    kind: ClassVar[str] = "product-changed"
    export: ClassVar[ExportRule] = ExportRule(
        on("gtin", Things.GTINS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = _BY_QUALITY
    gtin: str
    title: str | None
    catalogue_number: str | None
    carton_size: int | None
    since: str
    """UTC."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per field that changes."""
        for field, value in (
            (PlantField.TITLE, self.title),
            (PlantField.CATALOGUE_NUMBER, self.catalogue_number),
            (PlantField.CARTON_SIZE, self.carton_size),
        ):
            if value is not None:
                yield _row(entry, self.gtin, field, str(value), self.since)


@dataclass(frozen=True, slots=True)
class SettingChanged:
    """A setting has another value from a time on."""

    kind: ClassVar[str] = "setting-changed"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.ALWAYS, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = _BY_QUALITY
    setting: str
    value: int
    since: str
    """UTC."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One change."""
        yield _row(entry, self.setting, PlantField.SETTING, str(self.value), self.since)


@dataclass(frozen=True, slots=True)
class PrintSuperseded:
    """A batch of sleeves, or a kit item, must not be packed from a time on."""

    kind: ClassVar[str] = "print-superseded"
    export: ClassVar[ExportRule] = ExportRule(
        on("code", Things.BATCHES), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = _BY_QUALITY
    code: str
    since: str
    """UTC."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One change."""
        yield _row(entry, self.code, PlantField.PRINT, PrintStatus.SUPERSEDED, self.since)


@dataclass(frozen=True, slots=True)
class StationClosed:
    """Nobody works at a station from a time on."""

    kind: ClassVar[str] = "station-closed"
    export: ClassVar[ExportRule] = _RULE
    origin: ClassVar[Origin] = _BY_QUALITY
    station: str
    since: str
    """UTC."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One change."""
        yield _row(entry, self.station, PlantField.STATION, CLOSED, self.since)


KINDS: tuple[type[EntryBody], ...] = (
    PersonJoined,
    RolesChanged,
    BadgeWithdrawn,
    ProductChanged,
    SettingChanged,
    PrintSuperseded,
    StationClosed,
)
"""The kinds of this module, for the registry."""
