"""What an audit bundle is about: the codes that its subject touches.

A bundle of a lot follows all its discs, and so does one of a tool or a material for every lot made with it; one of a
containment case follows the cartons that its newest scope names. One of a carton, pallet, shipment, consignee or
sleeve batch follows the cartons in it and where they came from: the lots' tools, materials and decisions, the spindles
their discs can have come from, and no other carton.
"""

from __future__ import annotations

from sqlalchemy import Connection, text

from tracelink.errors import UsageError
from tracelink.store.bundle.part_subjects import add_pieces
from tracelink.store.bundle.scope_codes import BundleScope, add_line_of, all_of, column_of
from tracelink.store.bundle.scope_steps import add_steps
from tracelink.store.bundle.subject_kinds import MAKERS
from tracelink.store.records.sql_records import SqlRecords

_SPINDLES = text("SELECT code FROM spindle WHERE lot = :code")
_SAMPLES = text("SELECT code FROM sample WHERE lot = :code")
_PLACES = text("SELECT DISTINCT source AS a, target AS b FROM movement WHERE lot = :code")
_SPOOLED = text(
    "SELECT DISTINCT spindle AS a, carton AS b FROM spool WHERE lot = :code AND carton IS NOT NULL"
)
_CARTON = text("SELECT gtin FROM carton WHERE sscc = :code")
_PARENTS = text("SELECT DISTINCT parent FROM nesting WHERE child = :code")
_BATCHES = text("SELECT batch FROM carton_sleeve WHERE carton = :code")
_SHIPMENT = text("SELECT order_code FROM shipment WHERE code = :code")
_LOCATION = text("SELECT name FROM location WHERE code = :code")
_LOTS_IN = text("SELECT DISTINCT lot, source FROM movement WHERE target = :code")
_LOT = text("SELECT gtin, piece FROM lot WHERE code = :code")


def bundle_scope(conn: Connection, code: str) -> BundleScope:
    """Gather what a bundle about `code` touches.

    Args:
        conn: a connection that sees one state.
        code: a lot, carton, pallet, shipment, tool, material, sleeve batch, step, part lot, reel, build order, built piece or case,
            or the name of a consignee.

    Raises:
        UsageError: it is none of these in the records.
    """
    scope = next((made for make in MAKERS if (made := make(conn, code)) is not None), None)
    if scope is None:
        raise UsageError(
            f"{code} is not a lot, carton, pallet, shipment, consignee, tool, material lot, step, part lot, reel, build order, built "
            "piece or case in the records: expected one that was planned, packed, loaded, named by an order, made, received or opened"
        )
    for lot in sorted(scope.whole):
        _follow_lot(conn, scope, lot)
    for carton in sorted(scope.cartons):
        _contents(conn, scope, carton)
    _outwards(conn, scope)
    for lot in sorted(scope.lots):
        _made(conn, scope, lot)
    add_pieces(conn, scope)
    add_steps(SqlRecords(conn), scope)
    return scope


def _follow_lot(conn: Connection, scope: BundleScope, lot: str) -> None:
    scope.spindles |= column_of(conn, _SPINDLES, lot)
    places = {
        place for query in (_PLACES, _SPOOLED) for row in all_of(conn, query, lot) for place in (row.a, row.b)
    }
    scope.cartons |= {place for place in places if conn.execute(_CARTON, {"code": place}).first()}


def _contents(conn: Connection, scope: BundleScope, carton: str) -> None:
    scope.batches |= column_of(conn, _BATCHES, carton)
    scope.gtins |= column_of(conn, _CARTON, carton)
    if scope.whole:
        return
    for row in all_of(conn, _LOTS_IN, carton):
        scope.lots.add(row.lot)
        if conn.execute(text("SELECT 1 FROM spindle WHERE code = :code"), {"code": row.source}).first():
            scope.spindles.add(row.source)


def _outwards(conn: Connection, scope: BundleScope) -> None:
    """Everything that the cartons and pallets stand or stood in."""
    todo, seen = sorted(scope.cartons | scope.pallets), set()
    while todo:
        child = todo.pop()
        if child in seen:
            continue
        seen.add(child)
        for parent in sorted(column_of(conn, _PARENTS, child)):
            shipment = conn.execute(_SHIPMENT, {"code": parent}).first()
            if shipment is not None:
                scope.shipments.add(parent)
                scope.orders.add(shipment.order_code)
            elif conn.execute(_LOCATION, {"code": parent}).first() is not None:
                scope.locations.add(parent)
            else:
                scope.pallets.add(parent)
                todo.append(parent)


def _made(conn: Connection, scope: BundleScope, lot: str) -> None:
    records = SqlRecords(conn)
    scope.samples |= column_of(conn, _SAMPLES, lot)
    scope.gtins |= column_of(conn, _LOT, lot)
    for segment in records.segments_of(lot):
        scope.presses.add(segment.press)
        scope.materials |= {segment.compound, segment.label_a, segment.label_b}
        for stamper in (segment.stamper_a, segment.stamper_b):
            add_line_of(records, scope, stamper)
