"""What an audit bundle is about: the codes that its subject touches.

A bundle of a lot follows all its discs, and so does one of a tool or a material for every lot made with it; one of a
containment case follows the cartons that its newest scope names. One of a carton, pallet, shipment, consignee or
sleeve batch follows the cartons in it and where they came from: the lots' tools, materials and decisions, the spindles
their discs can have come from, and no other carton.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, TextClause, text

from tracelink.errors import UsageError
from tracelink.store.office.cases import all_cases, case_facts, find_case
from tracelink.store.records.sql_records import SqlRecords

_SPINDLES = text("SELECT code FROM spindle WHERE lot = :code")
_SAMPLES = text("SELECT code FROM sample WHERE lot = :code")
_PLACES = text("SELECT DISTINCT source AS a, target AS b FROM movement WHERE lot = :code")
_SPOOLED = text(
    "SELECT DISTINCT spindle AS a, carton AS b FROM spool WHERE lot = :code AND carton IS NOT NULL"
)
_CARTON = text("SELECT gtin FROM carton WHERE sscc = :code")
_PALLET = text("SELECT status FROM pallet WHERE sscc = :code")
_PARENTS = text("SELECT DISTINCT parent FROM nesting WHERE child = :code")
_CHILDREN = text("SELECT DISTINCT child FROM nesting WHERE parent = :code")
_BATCHES = text("SELECT batch FROM carton_sleeve WHERE carton = :code")
_SHIPMENT = text("SELECT order_code FROM shipment WHERE code = :code")
_LOCATION = text("SELECT name FROM location WHERE code = :code")
_LOTS_IN = text("SELECT DISTINCT lot, source FROM movement WHERE target = :code")
_LOT = text("SELECT gtin, piece FROM lot WHERE code = :code")
_TOOL = text("SELECT what FROM tool WHERE code = :code")
_GROWN = text("SELECT code FROM tool WHERE parent = :code")
_MATERIAL = text("SELECT what FROM material WHERE code = :code")
_SLEEVES = text("SELECT status FROM sleeve_batch WHERE code = :code")
_SLEEVED = text("SELECT DISTINCT carton FROM carton_sleeve WHERE batch = :code")
_PRESSED = text("SELECT DISTINCT lot FROM run_segment WHERE stamper_a = :code OR stamper_b = :code")
_USED = text(
    "SELECT DISTINCT lot FROM run_segment WHERE compound = :code OR label_a = :code OR label_b = :code"
)
_CONSIGNED = text(
    "SELECT s.code FROM shipment s JOIN customer_order o ON o.code = s.order_code WHERE o.consignee = :code ORDER BY s.code"
)
_CONSIGNEE = text("SELECT consignee FROM customer_order WHERE consignee = :code")


@dataclass(slots=True)
class BundleScope:
    """Codes by what they are; gathered once, then only read."""

    kind: str
    """lot, carton, pallet, shipment, consignee, tool, material, sleeve batch or case."""
    code: str
    """The one asked about."""
    lots: set[str] = field(default_factory=set)
    """Lots whose making is told."""
    whole: set[str] = field(default_factory=set)
    """Of these, the lots all of whose discs are followed."""
    tools: set[str] = field(default_factory=set)
    presses: set[str] = field(default_factory=set)
    materials: set[str] = field(default_factory=set)
    spindles: set[str] = field(default_factory=set)
    samples: set[str] = field(default_factory=set)
    cartons: set[str] = field(default_factory=set)
    pallets: set[str] = field(default_factory=set)
    shipments: set[str] = field(default_factory=set)
    locations: set[str] = field(default_factory=set)
    batches: set[str] = field(default_factory=set)
    orders: set[str] = field(default_factory=set)
    gtins: set[str] = field(default_factory=set)
    cause: str | None = None
    """Of a case: the thing that its question is about."""
    roots: tuple[str, ...] = ()
    """What to trace where the subject itself is no thing in the records: the shipments of a consignee."""

    @property
    def subject(self) -> str:
        """What the bundle is about, for a reader."""
        return f"{self.kind} {self.code}"

    @property
    def own(self) -> set[str]:
        """Every code that belongs to this subject and to few others; tools, materials and stations are shared."""
        return self.lots | self.spindles | self.samples | self.cartons | self.pallets | self.shipments

    @property
    def things(self) -> set[str]:
        """Every code of a thing that a hold or an investigation may be about."""
        return self.own | self.tools | self.materials | self.batches


def is_consignee(conn: Connection, name: str) -> bool:
    """Say whether an order names somebody as its consignee."""
    return _known(conn, _CONSIGNEE, name)


def bundle_scope(conn: Connection, code: str) -> BundleScope:
    """Gather what a bundle about `code` touches.

    Args:
        conn: a connection that sees one state.
        code: a lot, carton, pallet, shipment, tool, material, sleeve batch or case, or the name of a consignee.

    Raises:
        UsageError: it is none of these in the records.
    """
    scope = next((made for make in _MAKERS if (made := make(conn, code)) is not None), None)
    if scope is None:
        raise UsageError(
            f"{code} is no lot, carton, pallet, shipment, consignee, tool, material lot or case in the records: expected one "
            "that was planned, packed, loaded, named by an order, made, received or opened"
        )
    for lot in sorted(scope.whole):
        _follow_lot(conn, scope, lot)
    for carton in sorted(scope.cartons):
        _contents(conn, scope, carton)
    _outwards(conn, scope)
    for lot in sorted(scope.lots):
        _made(conn, scope, lot)
    return scope


def _known(conn: Connection, query: TextClause, code: str) -> bool:
    return conn.execute(query, {"code": code}).first() is not None


def _lot(conn: Connection, code: str) -> BundleScope | None:
    return _whole_lots("lot", code, [code]) if _known(conn, _LOT, code) else None


def _whole_lots(kind: str, code: str, lots: Iterable[str]) -> BundleScope:
    return BundleScope(kind, code, lots=set(lots), whole=set(lots))


def _carton(conn: Connection, code: str) -> BundleScope | None:
    return BundleScope("carton", code, cartons={code}) if _known(conn, _CARTON, code) else None


def _pallet(conn: Connection, code: str) -> BundleScope | None:
    if not _known(conn, _PALLET, code):
        return None
    return BundleScope("pallet", code, pallets={code}, cartons=_column(conn, _CHILDREN, code))


def _shipment(conn: Connection, code: str) -> BundleScope | None:
    if not _known(conn, _SHIPMENT, code):
        return None
    scope = BundleScope("shipment", code, shipments={code})
    _loaded(conn, scope, code)
    return scope


def _consignee(conn: Connection, code: str) -> BundleScope | None:
    if not is_consignee(conn, code):
        return None
    shipments = tuple(row.code for row in _all(conn, _CONSIGNED, code))
    if not shipments:
        raise UsageError(f"no shipment to {code} is recorded: there is nothing to put into a bundle")
    scope = BundleScope("consignee", code, shipments=set(shipments), roots=shipments)
    for shipment in shipments:
        _loaded(conn, scope, shipment)
    return scope


def _loaded(conn: Connection, scope: BundleScope, shipment: str) -> None:
    """The pallets and cartons that are or were in a shipment, and its order."""
    scope.orders.add(conn.execute(_SHIPMENT, {"code": shipment}).scalar_one())
    todo = sorted(_column(conn, _CHILDREN, shipment))
    while todo:
        code = todo.pop()
        if _known(conn, _CARTON, code):
            scope.cartons.add(code)
        elif code not in scope.pallets:
            scope.pallets.add(code)
            todo += sorted(_column(conn, _CHILDREN, code))


def _tool(conn: Connection, code: str) -> BundleScope | None:
    if not _known(conn, _TOOL, code):
        return None
    grown, todo = set[str](), [code]
    while todo:
        tool = todo.pop()
        grown.add(tool)
        todo += sorted(_column(conn, _GROWN, tool) - grown)
    lots = {lot for tool in grown for lot in _column(conn, _PRESSED, tool)}
    scope = _whole_lots("tool", code, lots)
    for tool in sorted(grown):
        _line_of(SqlRecords(conn), scope, tool)
    return scope


def _material(conn: Connection, code: str) -> BundleScope | None:
    if not _known(conn, _MATERIAL, code):
        return None
    scope = _whole_lots("material", code, _column(conn, _USED, code))
    scope.materials.add(code)
    return scope


def _sleeves(conn: Connection, code: str) -> BundleScope | None:
    if not _known(conn, _SLEEVES, code):
        return None
    return BundleScope("sleeve batch", code, batches={code}, cartons=_column(conn, _SLEEVED, code))


def _case(conn: Connection, code: str) -> BundleScope | None:
    return _case_scope(conn, code) if code in {each.code for each in all_cases(conn)} else None


_MAKERS: tuple[Callable[[Connection, str], BundleScope | None], ...] = (
    _lot,
    _carton,
    _pallet,
    _case,
    _shipment,
    _tool,
    _material,
    _sleeves,
    _consignee,
)


def _case_scope(conn: Connection, code: str) -> BundleScope:
    """The lots of the newest scope, and the containers that it says could hold an affected disc."""
    newest = case_facts(conn, code).recorded.scopes[-1]
    scope = BundleScope("case", code, lots=set(newest.lots), cause=find_case(conn, code).cause)
    for container in newest.containers:
        if container.kind == "carton":
            scope.cartons.add(container.code)
        elif container.kind == "spindle":
            scope.spindles.add(container.code)
    return scope


def _follow_lot(conn: Connection, scope: BundleScope, lot: str) -> None:
    scope.spindles |= _column(conn, _SPINDLES, lot)
    places = {
        place for query in (_PLACES, _SPOOLED) for row in _all(conn, query, lot) for place in (row.a, row.b)
    }
    scope.cartons |= {place for place in places if conn.execute(_CARTON, {"code": place}).first()}


def _contents(conn: Connection, scope: BundleScope, carton: str) -> None:
    scope.batches |= _column(conn, _BATCHES, carton)
    scope.gtins |= _column(conn, _CARTON, carton)
    if scope.whole:
        return
    for row in _all(conn, _LOTS_IN, carton):
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
        for parent in sorted(_column(conn, _PARENTS, child)):
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
    scope.samples |= _column(conn, _SAMPLES, lot)
    scope.gtins |= _column(conn, _LOT, lot)
    for segment in records.segments_of(lot):
        scope.presses.add(segment.press)
        scope.materials |= {segment.compound, segment.label_a, segment.label_b}
        for stamper in (segment.stamper_a, segment.stamper_b):
            _line_of(records, scope, stamper)


def _line_of(records: SqlRecords, scope: BundleScope, tool: str | None) -> None:
    while tool is not None and tool not in scope.tools:
        scope.tools.add(tool)
        fact = records.tool(tool)
        tool = fact.parent if fact else None


def _all(conn: Connection, query: TextClause, code: str) -> list[Any]:
    return list(conn.execute(query, {"code": code}))


def _column(conn: Connection, query: TextClause, code: str) -> set[str]:
    return {row[0] for row in _all(conn, query, code)}
