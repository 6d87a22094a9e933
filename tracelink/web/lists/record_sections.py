"""What the pages of products, orders, customers and part numbers say, which have no family of their own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, urlencode

from tracelink.errors import UnknownCode
from tracelink.ledger.count_words import counted, grouped
from tracelink.report.format.document import FactList, Section
from tracelink.report.format.table import Column, Kind, table
from tracelink.web.lists.page_parts import Links, section

if TYPE_CHECKING:
    from runout import ConsigneeRecord, OpenLedger, OrderRecord, PartRecord, ProductRecord

_PIECES = (
    Column("piece", "disc", Kind.NUMBER),
    Column("matrix_a", "run-out of side A"),
    Column("matrix_b", "of side B"),
)
_LOTS = (
    Column("code", "lot"),
    Column("piece", "disc", Kind.NUMBER),
    Column("planned", "planned", Kind.COUNT),
    Column("pressed", "pressed", Kind.COUNT),
    Column("status", "state"),
    Column("decision", "decision"),
)
_SLEEVES = (Column("code", "batch"), Column("quantity", "printed", Kind.COUNT), Column("status", "state"))
_LINES = (
    Column("order", "order"),
    Column("consignee", "customer", Kind.TEXT),
    Column("country", "country"),
    Column("gtin", "product"),
    Column("title", "title", Kind.TEXT),
    Column("ordered", "ordered", Kind.COUNT),
    Column("sent", "left the plant", Kind.COUNT),
)
_SHIPMENTS = (
    Column("code", "shipment"),
    Column("order", "order"),
    Column("status", "state"),
    Column("departed_at", "left", Kind.TIME),
)
_PART_LOTS = (
    Column("code", "part lot"),
    Column("revision", "revision"),
    Column("supplier_lot", "supplier's lot"),
    Column("quantity", "came", Kind.COUNT),
    Column("status", "state"),
    Column("at", "when", Kind.TIME),
)
_REELS = (
    Column("code", "reel"),
    Column("revision", "revision"),
    Column("holds", "parts on it", Kind.COUNT),
    Column("used", "used", Kind.COUNT),
)
_BUILDS = (
    Column("code", "build order"),
    Column("part", "of part"),
    Column("version", "version"),
    Column("quantity", "ordered", Kind.COUNT),
    Column("built", "begun", Kind.COUNT),
    Column("needs", "of these for each", Kind.COUNT),
)
_USES = (
    Column("part", "in part"),
    Column("version", "version"),
    Column("revision", "revision asked for"),
    Column("quantity", "for each", Kind.COUNT),
    Column("slot", "slot"),
)
_FEW = 6
"""Things that are named one by one in a line."""
_OF_PRODUCTS = frozenset("LB0123456789")
_OF_PART_NUMBERS = frozenset("MFN")


@dataclass(frozen=True, slots=True)
class KnownByName:
    """What a page says of something without a family."""

    title: str
    sections: tuple[Section, ...]
    links: Links


def known_by_name(ledger: OpenLedger, given: str) -> KnownByName | None:
    """Return what is known of a product by its GTIN, an order, a customer or a part number; None if it is none."""
    for ask in (_product, _order, _part, _consignee):
        try:
            return ask(ledger, given)
        except UnknownCode:
            continue
    return None


def _product(ledger: OpenLedger, given: str) -> KnownByName:
    found: ProductRecord = ledger.warehouse.product(given)
    facts = (
        ("GTIN", found.gtin),
        ("title", found.title),
        ("catalogue number", found.catalogue_number),
        *((("also called", ", ".join(found.earlier)),) if found.earlier else ()),
        ("sleeves", "numbered" if found.numbered else "not numbered"),
        ("full carton", counted(found.carton_size, "unit")),
        (
            "packed",
            f"{counted(found.cartons, 'carton')} with {counted(found.units, 'unit')}, wherever they are",
        ),
    )
    sections = (
        section("What it is", FactList(facts)),
        _listed("Its discs", _PIECES, found.pieces, "It has no disc."),
        _listed("Lots pressed of it", _LOTS, found.lots, "No lot was planned."),
        _listed("Sleeves printed for it", _SLEEVES, found.sleeves, "No batch of sleeves is known."),
        _listed("Who ordered it", _without(_LINES, "gtin", "title"), found.orders, "Nobody ordered it."),
    )
    links = (
        (f"/search?{urlencode({'q': found.gtin})}", "Everything found by its number"),
        _brought_in(found.seq),
    )
    return KnownByName(f"Product {found.title}", sections, links)


def _order(ledger: OpenLedger, given: str) -> KnownByName:
    found: OrderRecord = ledger.warehouse.order(given)
    kept = counted(len(found.kept), "carton or pallet", "cartons and pallets") if found.kept else "nothing"
    facts = (
        ("order", found.code),
        ("customer", found.consignee),
        ("country", found.country),
        ("kept for it now", f"{kept}{': ' if found.kept else ''}{', '.join(found.kept[:_FEW])}"),
    )
    sections = (
        section("What it is", FactList(facts)),
        _listed(
            "What was ordered", _without(_LINES, "order", "consignee", "country"), found.lines, "Nothing."
        ),
        _listed(
            "Its shipments", _without(_SHIPMENTS, "order"), found.shipments, "Nothing was loaded for it."
        ),
    )
    links = ((f"/thing/{quote(found.consignee, safe='')}", found.consignee), _brought_in(found.seq))
    return KnownByName(f"Order {found.code}", sections, links)


def _consignee(ledger: OpenLedger, given: str) -> KnownByName:
    found: ConsigneeRecord = ledger.warehouse.consignee(given)
    ordered = sum(line.ordered for line in found.orders)
    facts = (
        ("consignee", found.name),
        ("country", ", ".join(sorted({line.country for line in found.orders}))),
        ("ordered", counted(ordered, "unit")),
        ("left the plant", grouped(sum(line.sent for line in found.orders))),
        ("told in cases", ", ".join(found.cases) or "none"),
    )
    sections = (
        section("Who it is", FactList(facts)),
        _listed("Its orders", _without(_LINES, "consignee", "country"), found.orders, "None."),
        _listed("Its shipments", _SHIPMENTS, found.shipments, "Nothing was loaded for it."),
    )
    links = ((f"/audit/bundle?{urlencode({'code': found.name})}", "Bundle for an auditor"),)
    return KnownByName(f"Customer {found.name}", sections, links)


def _part(ledger: OpenLedger, given: str) -> KnownByName:
    found: PartRecord = ledger.hall.part(given)
    facts = (
        ("part number", found.number),
        ("what", found.what),
        ("came", counted(sum(lot.quantity for lot in found.lots), "part")),
    )
    sections = [
        section("What it is", FactList(facts)),
        _listed("Part lots that came", _PART_LOTS, found.lots, "No lot of it came."),
        _listed("Reels", _REELS, found.reels, "No reel was made up."),
        _listed("Bills that have it", _USES, found.uses, "No bill has it."),
        _listed("Build orders that place it", _BUILDS, found.takes, "None."),
    ]
    if found.makes:
        made = _without(_BUILDS, "part", "needs")
        sections.append(_listed("Build orders that make it", made, found.makes, "None."))
    faults = (f"/faults?{urlencode({'part': found.number})}", "Faults of pieces of this number")
    links = (*((faults,) if found.makes else ()), _brought_in(found.seq))
    return KnownByName(f"Part {found.number}, {found.what}", tuple(sections), links)


def _brought_in(seq: int) -> tuple[str, str]:
    return f"/entry/{seq}", f"Entry {seq}, which brought it in"


def _without(columns: tuple[Column, ...], *keys: str) -> tuple[Column, ...]:
    return tuple(column for column in columns if column.key not in keys)


def _listed(title: str, columns: tuple[Column, ...], rows: Iterable[Any], otherwise: str) -> Section:
    found = [asdict(each) for each in rows]
    return section(title, table("", title, columns, found, otherwise))


def made_of(ledger: OpenLedger, code: str) -> Links:
    """Return the page of the product or part number that a thing is of; nothing if it is of none."""
    try:
        if code[:1] in _OF_PRODUCTS:
            product = ledger.warehouse.product(code)
            return ((f"/thing/{product.gtin}", product.title),)
        if code[:1] in _OF_PART_NUMBERS:
            number = ledger.hall.part(code).number
            return ((f"/thing/{quote(number, safe='')}", f"Part {number}"),)
    except UnknownCode:
        # A pallet is of no single product.
        pass
    return ()
