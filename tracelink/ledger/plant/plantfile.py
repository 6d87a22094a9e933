"""A plant file: what a ledger must know before the first scan, as data already parsed from TOML.

Sections: `[plant]` (only for a new ledger), `[[person]]`, `[[station]]`, `[[product]]` with `parts` and, where
more than discs goes into a unit, `kit`; `[[item]]`, `[[lot]]`, `[[material]]`, `[[sleeves]]`, `[[sscc]]`, `[[order]]`, `[[location]]`,
`[[contact]]`, `[[reason]]`. Codes are plant codes with their check
character. A file with new sections may be added to a ledger at any time.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.matrix import MatrixGrammar
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.kinds import kits as kinds
from tracelink.ledger.kinds import setup
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.orders import OrderLine, OrderLinesTaken, OrderTaken, order_of
from tracelink.ledger.kinds.warehouse import LocationNamed
from tracelink.ledger.plant import plantkits
from tracelink.ledger.plant.default_settings import DEFAULT_SETTINGS
from tracelink.ledger.plant.plantcontacts import contact
from tracelink.ledger.plant.plantreasons import reason
from tracelink.ledger.plant.plantsection import PlantSection

ROLES = ("tool", "press", "lab", "line", "dock", "quality")
AREAS = ("tool", "press", "lab", "line", "dock")


def read_plant_file(data: Mapping[str, Any], *, new_ledger: bool) -> Iterator[EntryBody]:
    """Yield the acts that a plant file stands for, in an order that the ledger takes.

    Args:
        data: the parsed TOML document.
        new_ledger: whether `[plant]` is wanted; a file added later must not have it.

    Raises:
        UsageError: names the section, the field, what was expected and what was found.
    """
    file = PlantSection("plant file", data)
    plant = file.table("plant")
    if new_ledger and not plant:
        raise UsageError("plant file: the section [plant] is missing; a new ledger needs it")
    if not new_ledger and plant:
        raise UsageError("plant file: [plant] is set when a ledger is made; leave it out of later files")
    grammar, areas = None, None
    if plant:
        plant = dict(plant)
        areas = plant.pop("clearance_areas", None)
        domain = plant.pop("domain", None)
        named = _plant(PlantSection("[plant]", plant))
        grammar = _grammar(named)
        yield named
        yield from _domain(domain)
        if areas is not None:
            yield plantkits.clearance_areas("[plant]: clearance_areas", areas)
    kits: list[kinds.KitDefined] = []
    for name, read in _SECTIONS.items():
        for place, fields in enumerate(file.many(name), 1):
            section = PlantSection(f"[[{name}]] number {place}", fields)
            # A kit names items, which name products: it comes after both.
            kit = section.many("kit") if name == "product" else []
            body = read(section)
            section.end()
            if kit and isinstance(body, setup.ProductDefined):
                kits.append(plantkits.kit(section.where, kit, body))
            if grammar is not None and isinstance(body, setup.ProductDefined):
                body = _normalised(body, grammar, section.where)
            yield body
        if name == "item":
            yield from kits
    file.end()


_DOMAIN = re.compile(r"[a-z0-9](?:[a-z0-9.-]*[a-z0-9])?\.[a-z]{2,}(?:/[A-Za-z0-9._~-]+)*", re.ASCII)


def require_domain(value: object, where: str) -> str:
    """Return a domain under which a plant's things have addresses.

    Args:
        value: a host name, optionally with a path, such as id.example.org; without scheme and slash at its end.
        where: what it was given as, for the sentence.

    Raises:
        UsageError: it is anything else.
    """
    if not isinstance(value, str) or not _DOMAIN.fullmatch(value):
        raise UsageError(
            f"{where} is {value!r}: expected a host name without https://, such as id.example.org"
        )
    return value


def _domain(value: object) -> Iterator[setup.DomainNamed]:
    if value is not None:
        yield setup.DomainNamed(require_domain(value, "[plant]: domain"))


def _grammar(named: setup.PlantNamed) -> MatrixGrammar:
    try:
        grammar = MatrixGrammar(named.matrix_pattern, named.matrix_example)
        grammar.parse(named.matrix_example)
    except (UsageError, ValueError) as problem:
        raise UsageError(f"[plant]: matrix_pattern and matrix_example do not fit: {problem}") from None
    return grammar


def _normalised(body: setup.ProductDefined, grammar: MatrixGrammar, where: str) -> setup.ProductDefined:
    try:
        parts = tuple(
            setup.ProductPart(part.piece, grammar.parse(part.matrix_a), grammar.parse(part.matrix_b))
            for part in body.parts
        )
    except IdentifierError as problem:
        raise UsageError(f"{where}: {problem}") from None
    return setup.ProductDefined(
        body.gtin, body.catalogue_number, body.title, body.numbered, body.carton_size, parts
    )


def _plant(section: PlantSection) -> setup.PlantNamed:
    wanted = dict(section.table("settings"))
    settings = []
    for default in DEFAULT_SETTINGS:
        value = wanted.pop(default.name, None)
        if value is None:
            settings.append(default)
        elif isinstance(value, int) and not isinstance(value, bool) and value >= 0:
            settings.append(setup.Setting(default.name, value, "plant file"))
        else:
            raise UsageError(f"[plant.settings]: {default.name} is {value!r}: expected a whole number from 0")
    if wanted:
        raise UsageError(f"[plant.settings]: unknown {', '.join(sorted(wanted))}")
    prefix = section.text("company_prefix")
    if not (prefix.isascii() and prefix.isdigit() and 4 <= len(prefix) <= 12):
        raise UsageError(f"[plant]: company_prefix is {prefix!r}: expected 4 to 12 digits")
    named = setup.PlantNamed(
        name=section.text("name"),
        company_prefix=prefix,
        matrix_pattern=section.text("matrix_pattern"),
        matrix_example=section.text("matrix_example"),
        settings=tuple(settings),
    )
    section.end()
    return named


def _person(section: PlantSection) -> setup.PersonEnrolled:
    code, name, roles = section.code("code", CodeKind.PERSON), section.text("name"), section.many("roles")
    for role in roles:
        if role not in ROLES:
            raise UsageError(f"{section.where}: role {role!r}: expected some of {', '.join(ROLES)}")
    return setup.PersonEnrolled(code, name, tuple(roles))


def _station(section: PlantSection) -> setup.StationPlaced:
    return setup.StationPlaced(
        section.code("code", CodeKind.STATION), section.one_of("area", AREAS), section.text("name")
    )


def _product(section: PlantSection) -> setup.ProductDefined:
    parts = []
    for place, fields in enumerate(section.many("parts"), 1):
        part = PlantSection(f"{section.where}, part {place}", fields)
        parts.append(setup.ProductPart(place, part.text("matrix_a"), part.text("matrix_b")))
        part.end()
    if not 1 <= len(parts) <= 99:
        raise UsageError(f"{section.where}: {len(parts)} parts: expected 1 to 99 discs")
    return setup.ProductDefined(
        gtin=section.gtin("gtin"),
        catalogue_number=section.text("catalogue_number"),
        title=section.text("title"),
        numbered=section.flag("numbered"),
        carton_size=section.number("carton_size", 1),
        parts=tuple(parts),
    )


def _item(section: PlantSection) -> kinds.ItemMade:
    return kinds.ItemMade(
        section.code("code", CodeKind.KIT_ITEM),
        section.text("name"),
        section.gtin("gtin"),
        section.one_of("status", ("current", "superseded")),
    )


def _lot(section: PlantSection) -> setup.LotPlanned:
    return setup.LotPlanned(
        section.code("code", CodeKind.LOT),
        section.gtin("gtin"),
        section.number("piece", 1),
        section.number("quantity", 1),
    )


def _material(section: PlantSection) -> setup.MaterialReceived:
    what = section.one_of("what", ("compound", "label"))
    detail = section.text("detail")
    if what == "compound":
        code = section.code("code", CodeKind.COMPOUND)
        return setup.MaterialReceived(code, what, detail, None, None, None)
    return setup.MaterialReceived(
        section.code("code", CodeKind.LABEL_LOT),
        what,
        detail,
        section.gtin("gtin"),
        section.number("piece", 1),
        section.one_of("side", ("A", "B")),
    )


def _sleeves(section: PlantSection) -> setup.SleevesReceived:
    first = section.optional("first_number", section.number)
    last = section.optional("last_number", section.number)
    if (first is None) != (last is None) or (first is not None and first > last):
        raise UsageError(
            f"{section.where}: first_number and last_number: expected both, in order, or neither"
        )
    return setup.SleevesReceived(
        section.code("code", CodeKind.SLEEVE_BATCH),
        section.gtin("gtin"),
        section.number("quantity", 1),
        first,
        last,
        section.flag("superseded"),
    )


def _sscc(section: PlantSection) -> setup.SsccIssued:
    what = section.one_of("what", ("carton", "pallet"))
    extension = section.one_of("extension", tuple("0123456789"))
    first, last = section.number("first_serial"), section.number("last_serial")
    if first > last:
        raise UsageError(f"{section.where}: first_serial {first} comes after last_serial {last}")
    return setup.SsccIssued(what, extension, first, last)


def _order(section: PlantSection) -> OrderTaken | OrderLinesTaken:
    """One product by `gtin` and `quantity`, or several by `lines`, each with both."""
    code = section.code("code", CodeKind.ORDER)
    consignee, country = section.text("consignee"), section.text("country")
    rows = section.many("lines")
    if not rows:
        return OrderTaken(code, consignee, country, section.gtin("gtin"), section.number("quantity", 1))
    lines = []
    for place, fields in enumerate(rows, 1):
        line = PlantSection(f"{section.where}, line {place}", fields)
        lines.append(OrderLine(line.gtin("gtin"), line.number("quantity", 1)))
        line.end()
    if len({line.gtin for line in lines}) < len(lines):
        raise UsageError(f"{section.where}: a product stands in two lines: expected each product once")
    return order_of(code, consignee, country, lines)


def _location(section: PlantSection) -> LocationNamed:
    return LocationNamed(section.code("code", CodeKind.LOCATION), section.text("name"))


_SECTIONS: Mapping[str, Callable[[PlantSection], EntryBody]] = {
    "person": _person,
    "station": _station,
    "product": _product,
    "item": _item,
    "lot": _lot,
    "material": _material,
    "sleeves": _sleeves,
    "sscc": _sscc,
    "order": _order,
    "location": _location,
    "contact": contact,
    "reason": reason,
}
