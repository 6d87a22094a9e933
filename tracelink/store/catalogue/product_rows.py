"""What belongs to a product, an order and a customer."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, text

from tracelink.facts.catalogue.product_record import (
    ConsigneeRecord,
    LineOfOrder,
    LotOfProduct,
    OrderRecord,
    ProductPiece,
    ProductRecord,
    ShipmentOfOrder,
    SleevesOfProduct,
)
from tracelink.store.stations.answers import SqlStationQueries

_PRODUCT = text("SELECT * FROM product WHERE gtin = :gtin")
_EARLIER = text(
    "SELECT value FROM plant_change WHERE subject = :gtin AND field IN ('title', 'catalogue number') ORDER BY seq"
)
_PIECES = text("SELECT piece, matrix_a, matrix_b FROM product_part WHERE gtin = :gtin ORDER BY piece")
_LOTS = text(
    "SELECT code, piece, planned, counter AS pressed, status, decision FROM lot WHERE gtin = :gtin ORDER BY seq"
)
_SLEEVES = text("SELECT code, quantity, status FROM sleeve_batch WHERE gtin = :gtin ORDER BY seq")
_CARTONS = text("SELECT COUNT(*) AS cartons, COALESCE(SUM(units), 0) AS units FROM carton WHERE gtin = :gtin")
_LINES = (
    "SELECT o.code, o.consignee, o.country, l.gtin, l.quantity, p.title FROM customer_order o "
    "JOIN order_line l ON l.order_code = o.code JOIN product p ON p.gtin = l.gtin "
)
_OF_PRODUCT = text(f"{_LINES} WHERE l.gtin = :gtin ORDER BY o.seq, l.line")
_OF_ORDER = text(f"{_LINES} WHERE o.code = :code ORDER BY l.line")
_OF_CONSIGNEE = text(f"{_LINES} WHERE o.consignee = :name ORDER BY o.seq, l.line")
_ORDER = text("SELECT code, consignee, country, seq FROM customer_order WHERE code = :code")
_KEPT = text("SELECT subject FROM allocation WHERE order_code = :code AND released_seq IS NULL ORDER BY seq")
_SHIPMENTS = (
    "SELECT s.code, s.order_code, s.status, s.departed_at FROM shipment s "
    "JOIN customer_order o ON o.code = s.order_code "
)
_SHIPMENTS_OF_ORDER = text(f"{_SHIPMENTS} WHERE o.code = :code ORDER BY s.seq")
_SHIPMENTS_OF_CONSIGNEE = text(f"{_SHIPMENTS} WHERE o.consignee = :name ORDER BY s.seq")
_CASES = text("SELECT DISTINCT case_code FROM case_notice WHERE consignee = :name ORDER BY case_code")
_PRODUCT_OF = text(
    "SELECT gtin FROM lot WHERE code = :code UNION SELECT gtin FROM sleeve_batch WHERE code = :code "
    "UNION SELECT gtin FROM carton WHERE sscc = :code"
)


def product_of(conn: Connection, code: str) -> str | None:
    """Return the product of a lot, sleeve batch or carton; None if it is none."""
    found = conn.execute(_PRODUCT_OF, {"code": code}).scalar()
    return None if found is None else str(found)


def product_record(conn: Connection, gtin: str) -> ProductRecord | None:
    """Return a product with what belongs to it; None if there is no such product."""
    asked = {"gtin": gtin}
    row = conn.execute(_PRODUCT, asked).first()
    if row is None:
        return None
    packed = conn.execute(_CARTONS, asked).one()
    return ProductRecord(
        row.gtin,
        row.catalogue_number,
        row.title,
        tuple(conn.execute(_EARLIER, asked).scalars()),
        bool(row.numbered),
        row.carton_size,
        row.seq,
        tuple(ProductPiece(*each) for each in conn.execute(_PIECES, asked)),
        tuple(LotOfProduct(*each) for each in conn.execute(_LOTS, asked)),
        tuple(SleevesOfProduct(*each) for each in conn.execute(_SLEEVES, asked)),
        tuple(_lines(conn, conn.execute(_OF_PRODUCT, asked))),
        packed.cartons,
        packed.units,
    )


def order_record(conn: Connection, code: str) -> OrderRecord | None:
    """Return an order with its lines and shipments; None if there is no such order."""
    asked = {"code": code}
    row = conn.execute(_ORDER, asked).first()
    if row is None:
        return None
    return OrderRecord(
        row.code,
        row.consignee,
        row.country,
        row.seq,
        tuple(_lines(conn, conn.execute(_OF_ORDER, asked))),
        tuple(ShipmentOfOrder(*each) for each in conn.execute(_SHIPMENTS_OF_ORDER, asked)),
        tuple(conn.execute(_KEPT, asked).scalars()),
    )


def consignee_record(conn: Connection, name: str) -> ConsigneeRecord | None:
    """Return a customer with its orders and shipments; None if nobody of that name ordered anything."""
    asked = {"name": name}
    orders = tuple(_lines(conn, conn.execute(_OF_CONSIGNEE, asked)))
    if not orders:
        return None
    shipments = tuple(ShipmentOfOrder(*each) for each in conn.execute(_SHIPMENTS_OF_CONSIGNEE, asked))
    return ConsigneeRecord(name, orders, shipments, tuple(conn.execute(_CASES, asked).scalars()))


def _lines(conn: Connection, rows: Any) -> Iterator[LineOfOrder]:
    queries = SqlStationQueries(conn)
    for row in rows:
        sent = queries.units_sent(row.code, row.gtin)
        yield LineOfOrder(row.code, row.consignee, row.country, row.gtin, row.title, row.quantity, sent)
