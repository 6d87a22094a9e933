"""What a shipment, a pallet or a carton holds, for its packing list or content list."""

from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import Connection, text

from tracelink.errors import UsageError
from tracelink.facts.pack_list import CartonLine, OrderedLine, PackList
from tracelink.ledger.closed_sets import ShipmentStatus
from tracelink.ledger.count_words import grouped
from tracelink.ledger.time_words import moment
from tracelink.store.stations.answers import SqlStationQueries

_SHIPMENT = text(
    "SELECT d.code, d.status, d.departed_at, o.code AS order_code, o.consignee, o.country "
    "FROM shipment d JOIN customer_order o ON o.code = d.order_code WHERE d.code = :code"
)
_CHILDREN = text(
    "SELECT child FROM nesting WHERE parent = :code AND closed_seq IS NULL ORDER BY opened_seq, child"
)
_CARTON = text("SELECT sscc, units, status, gtin FROM carton WHERE sscc = :code")
_LINES = text("SELECT gtin, quantity FROM order_line WHERE order_code = :code ORDER BY line")
_NUMBERS = text("SELECT number FROM numbered_sleeve WHERE carton = :code ORDER BY seq, number")
_DRIVER = text("SELECT name FROM driver_check WHERE shipment = :code ORDER BY seq DESC LIMIT 1")


def packlist(conn: Connection, code: str) -> PackList:
    """Return the list of a shipment, pallet or carton.

    Args:
        conn: a connection.
        code: its SSCC or plant code, canonical text.

    Raises:
        UsageError: the ledger knows no such thing.
    """
    from tracelink.store.journal import journal  # noqa: PLC0415  whoever finds a thing prints no list

    queries = SqlStationQueries(conn)
    found = journal.head(conn)
    head = f"journal entry {found.seq}, {found.hash}"
    shipment = conn.execute(_SHIPMENT, {"code": code}).first()
    if shipment is not None:
        # A list of a shipment that has left names its products as they were called then.
        queries.at = shipment.departed_at
        lines = tuple(_ordered(conn, queries, shipment))
        driver = conn.execute(_DRIVER, {"code": code}).scalar()
        facts = (
            ("Shipment", code),
            ("Order", f"{shipment.order_code}, {grouped(sum(line.ordered for line in lines))} ordered"),
            ("For", f"{shipment.consignee}, {shipment.country}"),
            ("Left", moment(shipment.departed_at or "") or "not yet: this list may still change"),
            ("Driver", str(driver or "")),
        )
        return PackList("Packing list", facts, _of_shipment(conn, queries, code), head, lines)
    pallet = queries.pallet(code)
    if pallet is not None:
        return PackList(
            "Pallet content",
            (("Pallet", code), ("State", pallet.status)),
            _of_pallet(conn, queries, code),
            head,
        )
    if queries.carton(code) is None:
        raise UsageError(f"{code} is not a shipment, pallet or carton in the system")
    line = _carton(conn, queries, code, "")
    return PackList("Carton content", (("Carton", code), ("State", line.status)), (line,), head)


def _ordered(conn: Connection, queries: SqlStationQueries, shipment: Any) -> Iterator[OrderedLine]:
    for row in conn.execute(_LINES, {"code": shipment.order_code}):
        here = queries.units_in(shipment.code, row.gtin)
        sent = queries.units_sent(shipment.order_code, row.gtin)
        # A shipment that has left is among what was sent.
        before = sent - here if shipment.status == ShipmentStatus.SHIPPED else sent
        number, title = _names(queries, row.gtin)
        yield OrderedLine(number, title, row.gtin, row.quantity, before, here)


def _children(conn: Connection, code: str) -> Sequence[str]:
    return conn.execute(_CHILDREN, {"code": code}).scalars().all()


def _of_shipment(conn: Connection, queries: SqlStationQueries, code: str) -> tuple[CartonLine, ...]:
    lines: list[CartonLine] = []
    for child in _children(conn, code):
        if queries.pallet(child) is not None:
            lines += _of_pallet(conn, queries, child)
        else:
            lines.append(_carton(conn, queries, child, ""))
    return tuple(lines)


def _of_pallet(conn: Connection, queries: SqlStationQueries, code: str) -> tuple[CartonLine, ...]:
    return tuple(_carton(conn, queries, child, code) for child in _children(conn, code))


def _carton(conn: Connection, queries: SqlStationQueries, code: str, pallet: str) -> CartonLine:
    row = conn.execute(_CARTON, {"code": code}).one()
    numbers = tuple(conn.execute(_NUMBERS, {"code": code}).scalars())
    lots = tuple(queries.carton_contents(code))
    number, title = _names(queries, row.gtin)
    return CartonLine(row.sscc, pallet, number, title, row.gtin, row.units, row.status, lots, numbers)


def _names(queries: SqlStationQueries, gtin: str) -> tuple[str, str]:
    """Return catalogue number and title of a product at the time that is asked for."""
    product = queries.product(gtin)
    assert product is not None
    return product.catalogue_number, product.title
