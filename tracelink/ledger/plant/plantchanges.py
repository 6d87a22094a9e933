"""The tables of a plant file that change what was set up, each from a day on and with a reason.

What a change comes to depends on what stands in the ledger: a badge that is replaced keeps the roles of the old one. So
these are wishes, and `store/office/changing_plant.py` makes entries of them.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from tracelink.errors import UsageError
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.plant.default_settings import DEFAULT_SETTINGS
from tracelink.ledger.plant.plantsection import PlantSection

ROLES = ("tool", "press", "lab", "line", "dock", "process", "assembly", "quality")
_SETTINGS = tuple(setting.name for setting in DEFAULT_SETTINGS)


@dataclass(frozen=True, slots=True)
class PlantChange:
    """Something that is to change."""

    since: str | None
    """The first day on which it holds, YYYY-MM-DD; None from now on."""
    reason: str | None
    """Why; None for the reason of the whole file."""


@dataclass(frozen=True, slots=True)
class WithdrawnBadge(PlantChange):
    """A person left, or must not act any more."""

    badge: str


@dataclass(frozen=True, slots=True)
class ReplacedBadge(PlantChange):
    """A badge was lost; the person has another one from now on, with the same roles."""

    badge: str
    new_badge: str


@dataclass(frozen=True, slots=True)
class ChangedRoles(PlantChange):
    """A person has other roles."""

    badge: str
    roles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ChangedProduct(PlantChange):
    """A product has another title, catalogue number or carton size; None for what stays."""

    gtin: str
    title: str | None
    catalogue_number: str | None
    carton_size: int | None


@dataclass(frozen=True, slots=True)
class ChangedSetting(PlantChange):
    """A setting has another value."""

    name: str
    value: int


@dataclass(frozen=True, slots=True)
class SupersededPrint(PlantChange):
    """A batch of sleeves, or a kit item, must not be packed any more."""

    code: str


@dataclass(frozen=True, slots=True)
class ClosedStation(PlantChange):
    """Nobody works at a station any more."""

    station: str


def roles(section: PlantSection) -> tuple[str, ...]:
    """Read the field `roles`."""
    found = section.many("roles")
    for role in found:
        section.require(role in ROLES, "roles", f"role {role!r}: expected some of {', '.join(ROLES)}")
    return tuple(map(str, found))


def day(section: PlantSection, name: str, first: str = "0001-01-01", last: str = "9999-12-31") -> str:
    """Read a day.

    Args:
        section: the table.
        name: of the field.
        first: the earliest that is taken.
        last: the latest.
    """
    text = section.text(name)
    try:
        found = date.fromisoformat(text).isoformat()
    except ValueError:
        found = ""
    # The same day may be written in other ways, as 20250131; one is enough.
    section.require(found == text, name, f"{name} is {text!r}: expected a day as YYYY-MM-DD")
    section.require(
        found != text or first <= text <= last, name, f"{name} is {text}: expected {first} to {last}"
    )
    return text if found == text and first <= text <= last else last


def _since(section: PlantSection) -> str | None:
    # Days at the ends of the calendar have no midnight in every zone.
    return section.optional("since", lambda name: day(section, name, "2000-01-01", "2999-12-31"))


def _reason(section: PlantSection) -> str | None:
    found = section.optional("reason", section.text)
    if found is None:
        return None
    section.require(bool(found.strip()), "reason", "reason is empty: expected why")
    return found.strip()


def _withdrawn_badge(section: PlantSection) -> WithdrawnBadge:
    return WithdrawnBadge(_since(section), _reason(section), section.code("badge", CodeKind.PERSON))


def _replaced_badge(section: PlantSection) -> ReplacedBadge:
    badge, new = section.code("badge", CodeKind.PERSON), section.code("new_badge", CodeKind.PERSON)
    section.require(badge != new, "new_badge", f"new_badge is {new}, the lost one: expected another badge")
    return ReplacedBadge(None, _reason(section), badge, new)


def _changed_roles(section: PlantSection) -> ChangedRoles:
    badge = section.code("badge", CodeKind.PERSON)
    return ChangedRoles(_since(section), _reason(section), badge, roles(section))


def _changed_product(section: PlantSection) -> ChangedProduct:
    gtin = section.gtin("gtin")
    title, number = (section.optional(name, section.text) for name in ("title", "catalogue_number"))
    size = section.optional("carton_size", lambda name: section.number(name, 1))
    if title is None and number is None and size is None:
        raise UsageError(
            f"{section.where}: nothing of {gtin} changes: expected title, catalogue_number or carton_size"
        )
    return ChangedProduct(_since(section), _reason(section), gtin, title, number, size)


def _changed_setting(section: PlantSection) -> ChangedSetting:
    name = section.one_of("name", _SETTINGS)
    return ChangedSetting(_since(section), _reason(section), name, section.number("value"))


def _superseded_print(section: PlantSection) -> SupersededPrint:
    code = section.code("code", CodeKind.SLEEVE_BATCH, CodeKind.KIT_ITEM)
    return SupersededPrint(_since(section), _reason(section), code)


def _closed_station(section: PlantSection) -> ClosedStation:
    return ClosedStation(_since(section), _reason(section), section.code("station", CodeKind.STATION))


SECTIONS: Mapping[str, Callable[[PlantSection], PlantChange]] = {
    "replaced_badge": _replaced_badge,
    "changed_roles": _changed_roles,
    "withdrawn_badge": _withdrawn_badge,
    "changed_product": _changed_product,
    "changed_setting": _changed_setting,
    "superseded_print": _superseded_print,
    "closed_station": _closed_station,
}
