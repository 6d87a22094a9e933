"""What an audit bundle can be about: each kind of subject with the lots, cartons and tools that it begins with."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from sqlalchemy import Connection, text

from tracelink.errors import UsageError
from tracelink.genealogy.suspects.closure import grown_from
from tracelink.genealogy.walk.walk import trace_forward
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.closed_sets import StepInput
from tracelink.store.assembly.part_records import is_of_the_hall
from tracelink.store.bundle.part_subjects import part_subject
from tracelink.store.bundle.scope_codes import BundleScope, add_line_of, all_of, column_of, known
from tracelink.store.office.cases import all_cases, case_facts, find_case
from tracelink.store.records.sql_records import SqlRecords

_CARTON = text("SELECT gtin FROM carton WHERE sscc = :code")
_PALLET = text("SELECT status FROM pallet WHERE sscc = :code")
_CHILDREN = text("SELECT DISTINCT child FROM nesting WHERE parent = :code")
_SHIPMENT = text("SELECT order_code FROM shipment WHERE code = :code")
_LOT = text("SELECT gtin, piece FROM lot WHERE code = :code")
_TOOL = text("SELECT what FROM tool WHERE code = :code")
_MATERIAL = text("SELECT what FROM material WHERE code = :code")
_SLEEVES = text("SELECT status FROM sleeve_batch WHERE code = :code")
_CONSIGNED = text(
    "SELECT s.code FROM shipment s JOIN customer_order o ON o.code = s.order_code WHERE o.consignee = :code ORDER BY s.code"
)
_CONSIGNEE = text("SELECT consignee FROM customer_order WHERE consignee = :code")


def is_consignee(conn: Connection, name: str) -> bool:
    """Say whether an order names somebody as its consignee."""
    return known(conn, _CONSIGNEE, name)


def _lot(conn: Connection, code: str) -> BundleScope | None:
    return _whole_lots("lot", code, [code]) if known(conn, _LOT, code) else None


def _whole_lots(kind: str, code: str, lots: Iterable[str]) -> BundleScope:
    return BundleScope(kind, code, lots=set(lots), whole=set(lots))


def _carton(conn: Connection, code: str) -> BundleScope | None:
    return BundleScope("carton", code, cartons={code}) if known(conn, _CARTON, code) else None


def _pallet(conn: Connection, code: str) -> BundleScope | None:
    if not known(conn, _PALLET, code):
        return None
    return BundleScope("pallet", code, pallets={code}, cartons=column_of(conn, _CHILDREN, code))


def _shipment(conn: Connection, code: str) -> BundleScope | None:
    if not known(conn, _SHIPMENT, code):
        return None
    scope = BundleScope("shipment", code, shipments={code})
    _loaded(conn, scope, code)
    return scope


def _consignee(conn: Connection, code: str) -> BundleScope | None:
    if not is_consignee(conn, code):
        return None
    shipments = tuple(row.code for row in all_of(conn, _CONSIGNED, code))
    if not shipments:
        raise UsageError(f"no shipment to {code} is recorded: there is nothing to put into a bundle")
    scope = BundleScope("consignee", code, shipments=set(shipments), roots=shipments)
    for shipment in shipments:
        _loaded(conn, scope, shipment)
    return scope


def _loaded(conn: Connection, scope: BundleScope, shipment: str) -> None:
    """The pallets and cartons that are or were in a shipment, and its order."""
    scope.orders.add(conn.execute(_SHIPMENT, {"code": shipment}).scalar_one())
    todo = sorted(column_of(conn, _CHILDREN, shipment))
    while todo:
        code = todo.pop()
        if known(conn, _CARTON, code):
            scope.cartons.add(code)
        elif code not in scope.pallets:
            scope.pallets.add(code)
            todo += sorted(column_of(conn, _CHILDREN, code))


def _tool(conn: Connection, code: str) -> BundleScope | None:
    if not known(conn, _TOOL, code):
        return None
    records = SqlRecords(conn)
    grown = grown_from(records, code)
    scope = _whole_lots("tool", code, _made_with(records, grown))
    for tool in grown:
        add_line_of(records, scope, tool)
    return scope


def _made_with(records: SqlRecords, codes: Iterable[str]) -> set[str]:
    return {segment.lot for code in codes for segment in records.segments_with(code)}


def _material(conn: Connection, code: str) -> BundleScope | None:
    if not known(conn, _MATERIAL, code):
        return None
    scope = _whole_lots("material", code, _made_with(SqlRecords(conn), [code]))
    scope.materials.add(code)
    return scope


def _sleeves(conn: Connection, code: str) -> BundleScope | None:
    if not known(conn, _SLEEVES, code):
        return None
    cartons = set(SqlRecords(conn).sleeve_batch_cartons(code))
    return BundleScope("sleeve batch", code, batches={code}, cartons=cartons)


def _step(conn: Connection, code: str) -> BundleScope | None:
    """A process step with what went through it, and what was made of that."""
    records = SqlRecords(conn)
    step = records.step(code)
    if step is None:
        return None
    tools = [item.thing for item in step.items if item.what is StepInput.TOOL]
    grown = [code for tool in tools for code in grown_from(records, tool)]
    materials = {out.material for out in step.outputs} | {
        item.thing for item in step.items if item.what is StepInput.MATERIAL
    }
    through = {item.lot for item in step.items if item.lot is not None}
    scope = _whole_lots("step", code, _made_with(records, [*grown, *materials]))
    scope.steps.add(code)
    scope.equipment.add(step.equipment)
    scope.processes.add(step.process)
    scope.materials |= materials
    for tool in grown:
        add_line_of(records, scope, tool)
    for lot in sorted(through):
        if is_of_the_hall(lot):
            scope.parts.add(lot)
        else:
            scope.lots.add(lot)
            scope.whole.add(lot)
    ahead = {node.code for node in trace_forward(records, code).nodes}
    scope.parts |= {each for each in ahead if each[:1] == CodeKind.PIECE.value}
    scope.cartons |= {each for each in ahead if known(conn, _CARTON, each)}
    return scope


def _case(conn: Connection, code: str) -> BundleScope | None:
    return _case_scope(conn, code) if code in {each.code for each in all_cases(conn)} else None


MAKERS: tuple[Callable[[Connection, str], BundleScope | None], ...] = (
    _lot,
    _carton,
    _pallet,
    _case,
    _shipment,
    _tool,
    _material,
    _sleeves,
    part_subject,
    _step,
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
