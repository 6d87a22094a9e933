"""The tables of a plant file, one reader each: what a ledger must know first."""

import re
from collections.abc import Callable, Iterator, Mapping

from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.matrix import MatrixGrammar
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.kinds import kits as kinds
from tracelink.ledger.kinds import setup
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.orders import OrderLine, OrderLinesTaken, OrderTaken, order_of
from tracelink.ledger.kinds.warehouse import LocationNamed
from tracelink.ledger.plant import plantchanges
from tracelink.ledger.plant.default_settings import DEFAULT_SETTINGS
from tracelink.ledger.plant.plantchanges import PlantChange
from tracelink.ledger.plant.plantcontacts import contact
from tracelink.ledger.plant.plantlab import calibrated_gauge, gauge, instrument, lab_test, limit, slow_test
from tracelink.ledger.plant.plantparts import bill, part, slot
from tracelink.ledger.plant.plantprocesses import equipment, process
from tracelink.ledger.plant.plantreasons import reason
from tracelink.ledger.plant.plantsampling import sampling_plan
from tracelink.ledger.plant.plantsection import PlantSection
from tracelink.ledger.work_areas import AREAS

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


def domain_entry(value: object) -> Iterator[setup.DomainNamed]:
    """Yield the entry of a domain, if one is given.

    Raises:
        UsageError: it is no domain.
    """
    if value is not None:
        yield setup.DomainNamed(require_domain(value, "[plant]: domain"))


def grammar_of(named: setup.PlantNamed, section: PlantSection) -> MatrixGrammar | None:
    """Return how a plant writes matrix numbers; None if its example does not fit, which the section keeps."""
    try:
        grammar = MatrixGrammar(named.matrix_pattern, named.matrix_example)
        grammar.parse(named.matrix_example)
    except (UsageError, ValueError) as problem:
        section.require(False, "matrix_example", f"matrix_pattern and matrix_example do not fit: {problem}")
        return None
    return grammar


def normalised(body: setup.ProductDefined, grammar: MatrixGrammar, where: str) -> setup.ProductDefined:
    """Return a product with its matrix numbers as the plant writes them.

    Raises:
        UsageError: one is not of the plant's form.
    """
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


def plant_named(section: PlantSection) -> setup.PlantNamed:
    """Read `[plant]`, of which domain and clearance areas were taken out."""
    given = section.inside_named("[plant.settings]", section.table("settings"), "settings")
    settings = []
    for default in DEFAULT_SETTINGS:
        value = given.optional(default.name, given.number)
        settings.append(default if value is None else setup.Setting(default.name, value, "plant file"))
    given.end()
    prefix = section.text("company_prefix")
    section.require(
        prefix.isascii() and prefix.isdigit() and 4 <= len(prefix) <= 12,
        "company_prefix",
        f"company_prefix is {prefix!r}: expected 4 to 12 digits",
    )
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
    return setup.PersonEnrolled(
        section.code("code", CodeKind.PERSON), section.text("name"), plantchanges.roles(section)
    )


def _station(section: PlantSection) -> setup.StationPlaced:
    return setup.StationPlaced(
        section.code("code", CodeKind.STATION), section.one_of("area", AREAS), section.text("name")
    )


def _product(section: PlantSection) -> setup.ProductDefined:
    parts = []
    given = section.optional("parts", section.many)
    for place, fields in enumerate(given or (), 1):
        part = section.inside(f"part {place}", fields, "parts")
        parts.append(setup.ProductPart(place, part.text("matrix_a"), part.text("matrix_b")))
        part.end()
    # What is built and not pressed has no discs: then it says nothing of parts.
    section.require(
        given is None or 1 <= len(parts) <= 99, "parts", f"{len(parts)} parts: expected 1 to 99 discs"
    )
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
    section.require(
        (first is None and last is None) or (first is not None and last is not None and first <= last),
        "first_number",
        "first_number and last_number: expected both, in order, or neither",
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
    section.require(first <= last, "first_serial", f"first_serial {first} comes after last_serial {last}")
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
        line = section.inside(f"line {place}", fields, "lines")
        lines.append(OrderLine(line.gtin("gtin"), line.number("quantity", 1)))
        line.end()
    section.require(
        len({line.gtin for line in lines}) == len(lines),
        "lines",
        "a product stands in two lines: expected each product once",
    )
    return order_of(code, consignee, country, lines)


def _location(section: PlantSection) -> LocationNamed:
    return LocationNamed(section.code("code", CodeKind.LOCATION), section.text("name"))


SECTIONS: Mapping[str, Callable[[PlantSection], EntryBody | PlantChange]] = {
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
    "process": process,
    "equipment": equipment,
    "part": part,
    "bill": bill,
    "slot": slot,
    "lab_test": lab_test,
    "limit": limit,
    "gauge": gauge,
    "calibrated_gauge": calibrated_gauge,
    "instrument": instrument,
    "slow_test": slow_test,
    "sampling_plan": sampling_plan,
    **plantchanges.SECTIONS,
}
