"""What of a case is on each pallet of a shipment, and in which units with a serial label."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from tracelink.facts.notice_content import NoticePallet, NoticeUnit
from tracelink.genealogy.case.shipped_in import ShippedIn, shipped_in
from tracelink.ledger.kinds.case_scope import CaseContainer
from tracelink.ledger.times import utc_seconds
from tracelink.store.database.in_lists import of_codes, rows_of
from tracelink.store.records.plant_versions import names_at, versions

# Sold by the bill that the unit was built by; what no bill names as a product is told by its part.
_PRODUCTS = of_codes(
    "SELECT p.code, o.at, g.gtin, COALESCE(g.catalogue_number, k.number) AS number, "
    "COALESCE(g.title, k.what) AS title FROM piece p JOIN build o ON o.code = p.build "
    "JOIN part_kind k ON k.number = o.part JOIN bill b ON b.part = o.part AND b.version = o.version "
    "LEFT JOIN product g ON g.gtin = b.gtin WHERE p.code IN :codes ORDER BY p.code"
)


@dataclass(frozen=True, slots=True)
class _Product:
    title: str
    number: str
    gtin: str


@dataclass(frozen=True, slots=True)
class _Nested:
    held: CaseContainer
    within: ShippedIn


def pallets_of(conn: Connection, held: Iterable[CaseContainer]) -> tuple[NoticePallet, ...]:
    """Return one per pallet and lot, loose cartons last; cartons and units in the order of their numbers.

    Args:
        conn: a connection inside a transaction.
        held: containers of one shipment.
    """
    nested = [_Nested(one, shipped_in(one)) for one in held]
    products = _products(conn, {one.within.unit for one in nested} - {""})
    stands = _by(nested, lambda one: (one.within.pallet, one.held.lot))
    ordered = sorted(stands.items(), key=lambda pair: (not pair[0][0], pair[0]))
    return tuple(
        NoticePallet(pallet, lot, tuple(_cartons(there)), tuple(_units(there, products)))
        for (pallet, lot), there in ordered
    )


def _products(conn: Connection, serials: Iterable[str]) -> dict[str, _Product]:
    found = {}
    for row in rows_of(conn, _PRODUCTS, serials):
        gtin, first = row.gtin or "", (row.title, row.number)
        found[row.code] = _Product(*names_at(versions(conn, gtin), utc_seconds(row.at), first), gtin)
    return found


def _cartons(nested: Iterable[_Nested]) -> Iterator[CaseContainer]:
    for (carton,), there in sorted(_by(nested, lambda one: (one.within.carton,)).items()):
        pieces, least, most = _sums(there)
        yield replace(there[0].held, code=carton, pieces=pieces, least=least, most=most)


def _units(nested: Iterable[_Nested], products: Mapping[str, _Product]) -> Iterator[NoticeUnit]:
    labelled = [one for one in nested if one.within.unit]
    for (serial,), there in sorted(_by(labelled, lambda one: (one.within.unit,)).items()):
        product, stands = products[serial], there[0].within
        yield NoticeUnit(
            serial,
            product.title,
            product.number,
            product.gtin,
            stands.carton,
            stands.pallet,
            there[0].held.lot,
            *_sums(there),
        )


def _sums(nested: Iterable[_Nested]) -> tuple[int, int, int]:
    """Return pieces, least and most; bounds of things that share no piece hold for their sum."""
    held = [one.held for one in nested]
    return sum(one.pieces for one in held), sum(one.least for one in held), sum(one.most for one in held)


def _by(
    nested: Iterable[_Nested], key: Callable[[_Nested], tuple[str, ...]]
) -> dict[tuple[str, ...], list[_Nested]]:
    found: dict[tuple[str, ...], list[_Nested]] = {}
    for one in nested:
        found.setdefault(key(one), []).append(one)
    return found
