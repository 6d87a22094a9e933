"""What the label of a carton or pallet says, from what was packed, stacked and ordered."""

from collections.abc import Sequence

from sqlalchemy import Connection, text

from tracelink.errors import RefusedByRule, UsageError
from tracelink.facts.label_texts import CartonText, PalletText
from tracelink.identity.gs1.sscc import Sscc
from tracelink.store.stations.answers import SqlStationQueries

_PLANT = text("SELECT name FROM plant")
_ON_PALLET = text(
    "SELECT c.units, p.title, p.catalogue_number FROM nesting n JOIN carton c ON c.sscc = n.child "
    "JOIN product p ON p.gtin = c.gtin WHERE n.parent = :sscc AND n.closed_seq IS NULL ORDER BY p.catalogue_number, c.sscc"
)
_LOADED_FOR = text(
    "SELECT d.order_code FROM nesting n JOIN shipment d ON d.code = n.parent WHERE n.child = :sscc AND n.closed_seq IS NULL"
)


def label_content(conn: Connection, sscc: str, lots: Sequence[str]) -> CartonText | PalletText:
    """Return what stands on the label of an SSCC that was given out.

    Args:
        conn: a connection.
        sscc: of a carton or pallet, in use or not yet.
        lots: of which a carton is to be packed full that is not packed yet; of one product.

    Raises:
        UsageError: it was never given out; or the carton is not packed, and nobody says of which lots it will be.
        RefusedByRule: it is void.
    """
    code = Sscc.parse(sscc).digits
    queries = SqlStationQueries(conn)
    what = queries.sscc_issued_for(code)
    if what is None:
        raise UsageError(f"SSCC {code} was never issued here")
    void = queries.void_label(code)
    if void is not None:
        raise RefusedByRule(f"label {code} is void: {void}")
    return _pallet(conn, queries, code) if what == "pallet" else _carton(queries, code, lots)


def _carton(queries: SqlStationQueries, code: str, lots: Sequence[str]) -> CartonText:
    carton = queries.carton(code)
    if carton is None or not carton.units:
        return full_carton(queries, code, lots)
    inside = tuple(lot.code for lot in queries.carton_lots(code))
    product = queries.product(carton.gtin)
    assert product is not None
    return CartonText(code, carton.gtin, product.title, product.catalogue_number, carton.units, inside)


def full_carton(queries: SqlStationQueries, code: str, lots: Sequence[str]) -> CartonText:
    """Return what stands on the label of a carton that is to be packed full of these lots.

    Raises:
        UsageError: no lot is named, one is not in the system, or they are of several products.
    """
    if not lots:
        raise UsageError(
            f"carton {code} is not packed yet: name the lot that it will be packed from, with --lot"
        )
    found = [queries.lot(lot) for lot in lots]
    for lot, known in zip(lots, found, strict=True):
        if known is None:
            raise UsageError(f"lot {lot} is not in the system")
    gtins = {known.part.gtin for known in found if known is not None}
    if len(gtins) > 1:
        raise UsageError(f"lots {', '.join(lots)} are of {len(gtins)} products: expected lots of one product")
    product = queries.product(gtins.pop())
    assert product is not None
    return CartonText(
        code, product.gtin, product.title, product.catalogue_number, product.carton_size, tuple(lots)
    )


def _pallet(conn: Connection, queries: SqlStationQueries, code: str) -> PalletText:
    rows = conn.execute(_ON_PALLET, {"sscc": code}).all()
    order = conn.execute(_LOADED_FOR, {"sscc": code}).scalar() or queries.allocated_to(code)
    known = queries.order(order) if order else None
    return PalletText(
        sscc=code,
        from_plant=str(conn.execute(_PLANT).scalar_one()),
        to=known.consignee if known else "",
        cartons=len(rows),
        units=sum(row.units for row in rows),
        products=tuple(dict.fromkeys((row.title, row.catalogue_number) for row in rows)),
    )
