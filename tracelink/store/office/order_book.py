"""The dock's desk work: taking orders, keeping stock for them, finding things."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sqlalchemy import Connection, text

from tracelink.errors import RefusedByRule, UsageError
from tracelink.facts.dock_stock import KeptStock, StockBarred, ThingFound
from tracelink.ledger.closed_sets import LotDecision
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.orders import (
    Allocated,
    AllocationMade,
    AllocationReleased,
    OrderLinesTaken,
    OrderTaken,
)
from tracelink.station.common.count_doubt import doubtful
from tracelink.station.common.station_facts import Lot
from tracelink.station.dock.allocate import InStock, choose
from tracelink.station.sentences.common_sentences import hold_words, where
from tracelink.station.sentences.counting_sentences import count_in_doubt
from tracelink.station.sentences.dock_sentences import lots_waiting
from tracelink.store.office.office_acts import OfficeAct, authorised
from tracelink.store.stations.answers import SqlStationQueries

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

_PALLETS = text(
    "SELECT p.sscc AS code, SUM(c.units) AS units, MIN(c.gtin) AS gtin, MAX(c.gtin) AS other FROM pallet p "
    "JOIN nesting n ON n.parent = p.sscc AND n.closed_seq IS NULL JOIN carton c ON c.sscc = n.child "
    "WHERE p.status = 'accepted' AND NOT EXISTS (SELECT 1 FROM allocation a WHERE a.subject = p.sscc "
    "AND a.released_seq IS NULL) GROUP BY p.sscc HAVING MIN(c.gtin) = :gtin AND MAX(c.gtin) = :gtin"
)
_CARTONS = text(
    "SELECT c.sscc AS code, c.units FROM carton c WHERE c.status = 'closed' AND c.units > 0 AND c.gtin = :gtin "
    "AND NOT EXISTS (SELECT 1 FROM nesting n WHERE n.child = c.sscc AND n.closed_seq IS NULL "
    "AND n.parent NOT IN (SELECT code FROM location)) AND NOT EXISTS (SELECT 1 FROM allocation a "
    "WHERE a.subject = c.sscc AND a.released_seq IS NULL)"
)
_AGE = text("SELECT MIN(seq) FROM movement WHERE lot = :lot AND source = 'counter'")
_KEPT = text(
    "SELECT a.subject, a.units, a.seq, (SELECT n.parent FROM nesting n JOIN shipment d ON d.code = n.parent "
    "WHERE n.child = a.subject AND n.closed_seq IS NULL) AS shipment, COALESCE((SELECT c.gtin FROM carton c "
    "WHERE c.sscc = a.subject), (SELECT MIN(c.gtin) FROM nesting n JOIN carton c ON c.sscc = n.child "
    "WHERE n.parent = a.subject AND n.closed_seq IS NULL)) AS gtin FROM allocation a "
    "WHERE a.order_code = :order AND a.released_seq IS NULL ORDER BY a.seq, a.subject"
)
_ON_VEHICLES = text(
    "SELECT code FROM shipment WHERE order_code = :order AND status = 'loading' ORDER BY code"
)
Order = OrderTaken | OrderLinesTaken
"""An order of one product, or of several."""

_PRODUCTS = text("SELECT gtin FROM product")
_ORDERS = text("SELECT code FROM customer_order")
_IN_PLACE = text("SELECT child FROM nesting WHERE parent = :code AND closed_seq IS NULL ORDER BY child")


def dock_person(booking: Booking, badge: str) -> str:
    """Return the badge of somebody who may do desk work at the dock.

    Raises:
        RefusedByRule: the badge is not known, or its owner works neither at the dock nor in quality.
    """
    return authorised(booking.queries, badge, OfficeAct.HANDLE_ORDERS).code


def take_orders(booking: Booking, orders: Sequence[tuple[int, Order]], stamp: Stamp) -> None:
    """Take all orders of a file, or none.

    Args:
        booking: an open write transaction.
        orders: each with the line of the file it begins in.
        stamp: who takes them, when.

    Raises:
        UsageError: names every line that cannot be taken.
    """
    products = set(booking.connection.execute(_PRODUCTS).scalars())
    known = set(booking.connection.execute(_ORDERS).scalars())
    problems: list[str] = []
    for line, order in orders:
        if order.order in known:
            problems.append(f"line {line}: order {order.order} is in the system already")
        problems += [
            f"line {line}: gtin {gtin} is not a product in the system"
            for gtin in ordered_products(order)
            if gtin not in products
        ]
    if problems:
        raise UsageError("no order was taken\n" + "\n".join(problems))
    for _line, order in orders:
        booking.record(order, stamp)


def ordered_products(order: Order) -> tuple[str, ...]:
    """Return the products of an order, by line."""
    if isinstance(order, OrderTaken):
        return (order.gtin,)
    return tuple(line.gtin for line in order.lines)


def allocate(
    booking: Booking, order: str, stamp: Stamp
) -> tuple[list[KeptStock], dict[str, int], list[StockBarred]]:
    """Keep stock for every line of an order.

    Returns:
        What was kept now; by product how many units are short; of those products what is there and barred.

    Raises:
        UsageError: the order is not known.
    """
    conn = booking.connection
    queries = SqlStationQueries(conn)
    found = queries.order(order)
    if found is None:
        raise UsageError(f"order {order} is not in the system")
    chosen: list[InStock] = []
    short: dict[str, int] = {}
    barred: list[StockBarred] = []
    for gtin in found.gtins:
        free, not_free = _stock(conn, queries, gtin)
        of_line, missing = choose(
            _wanted(conn, queries, order, gtin), free, oldest_first=bool(queries.setting("oldest_first"))
        )
        chosen += of_line
        if missing:
            short[gtin] = missing
            barred += not_free
    if chosen:
        items = tuple(Allocated(one.code, one.units, None) for one in chosen)
        booking.record(AllocationMade(order, items), stamp)
    return (
        [KeptStock(one.code, one.what, one.units, where(queries.standing(one.code))) for one in chosen],
        short,
        barred,
    )


def _wanted(conn: Connection, queries: SqlStationQueries, order: str, gtin: str) -> int:
    """Units of a product of an order that have not left, are on no vehicle and are not kept."""
    vehicles = conn.execute(_ON_VEHICLES, {"order": order}).scalars()
    loading = sum(queries.units_in(shipment, gtin) for shipment in vehicles)
    rows = conn.execute(_KEPT, {"order": order})
    kept = sum(int(row.units) for row in rows if row.shipment is None and row.gtin == gtin)
    return max(0, queries.ordered(order, gtin) - queries.units_sent(order, gtin) - loading - kept)


def _stock(
    conn: Connection, queries: SqlStationQueries, gtin: str
) -> tuple[list[InStock], list[StockBarred]]:
    """Return the whole pallets and loose cartons of a product: what may be sent, and what may not."""
    found = [("pallet", row, queries.pallet_lots(row.code)) for row in conn.execute(_PALLETS, {"gtin": gtin})]
    found += [
        ("carton", row, queries.carton_lots(row.code)) for row in conn.execute(_CARTONS, {"gtin": gtin})
    ]
    free: list[InStock] = []
    barred: list[StockBarred] = []
    for what, row, lots in found:
        why = _why_barred(queries, what, row.code, lots)
        if why is None:
            free.append(InStock(row.code, what, int(row.units), _age(conn, [lot.code for lot in lots])))
        else:
            barred.append(StockBarred(row.code, what, int(row.units), why))
    return free, barred


def _why_barred(queries: SqlStationQueries, what: str, code: str, lots: Sequence[Lot]) -> str | None:
    """Return what keeps a pallet or a carton here, in words; None if nothing does."""
    held = queries.hold_on_pallet(code) if what == "pallet" else queries.hold_on_carton(code)
    if held is not None:
        return hold_words(held, code)
    carton = doubtful(code, queries)
    if carton is not None:
        return count_in_doubt(carton)
    waiting = [lot for lot in lots if lot.decision != LotDecision.RELEASED]
    return lots_waiting(waiting) if waiting else None


def _age(conn: Connection, lots: Sequence[str]) -> int:
    """The entry at which the oldest of these lots left the press."""
    return min(int(conn.execute(_AGE, {"lot": lot}).scalar_one() or 0) for lot in lots)


def release(booking: Booking, order: str, stamp: Stamp, reason: str) -> int:
    """Let go of what is kept for an order and is on no vehicle; returns how many things.

    Raises:
        UsageError: the order is not known.
        RefusedByRule: nothing is kept for it.
    """
    if SqlStationQueries(booking.connection).order(order) is None:
        raise UsageError(f"order {order} is not in the system")
    rows = [row for row in booking.connection.execute(_KEPT, {"order": order}) if row.shipment is None]
    if not rows:
        raise RefusedByRule(f"nothing is kept for order {order} that is not on a vehicle")
    items = tuple(Allocated(row.subject, row.units, row.seq) for row in rows)
    booking.record(AllocationReleased(order, items), stamp, reason)
    return len(items)


def find(conn: Connection, code: str) -> list[ThingFound]:
    """Return where a pallet or carton is, or what stands in a location or is on a vehicle.

    Args:
        conn: a connection.
        code: SSCC, or the plant code of a location or a shipment, as canonical text.

    Raises:
        UsageError: the ledger knows no such thing.
    """
    queries = SqlStationQueries(conn)
    if queries.location(code) is not None or queries.shipment_status(code) is not None:
        inside = conn.execute(_IN_PLACE, {"code": code}).scalars().all()
        return [_found(queries, child) for child in inside]
    if queries.pallet(code) is None and queries.carton(code) is None:
        raise UsageError(
            f"{code} is not a pallet, carton, location or shipment in the system: runout search {code} "
            "shows whatever else is known by that code"
        )
    return [_found(queries, code)]


def _found(queries: SqlStationQueries, code: str) -> ThingFound:
    pallet, carton = queries.pallet(code), queries.carton(code)
    kept = queries.allocated_to(code) or ""
    place = where(queries.standing(code))
    if pallet is not None:
        held = queries.hold_on_pallet(code)
        units = queries.units_on(code)
        return ThingFound(code, "pallet", pallet.status, units, place, kept, held.hold if held else "")
    assert carton is not None
    held = queries.hold_on_carton(code)
    return ThingFound(code, "carton", carton.status, carton.units, place, kept, held.hold if held else "")
