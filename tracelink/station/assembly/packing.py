"""PACK: finished units go into a carton, which is closed by its own label or when it is full."""

from tracelink.identity.reading import LogisticRead, Reading
from tracelink.ledger.kinds.assembly.unit_entries import UnitsPacked
from tracelink.ledger.parts.part_sets import PieceStatus
from tracelink.station.assembly.build_orders import bill_of
from tracelink.station.assembly.known_pieces import refuse_unusable
from tracelink.station.common.assembly.built_pieces import as_body, known_piece, piece_of
from tracelink.station.common.assembly.queries_assembly import PieceFact
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import refuse_void
from tracelink.station.common.taken_reading import sscc
from tracelink.station.sentences.assembly import unit_packing_sentences as say
from tracelink.station.sentences.assembly import unit_sentences
from tracelink.station.sentences.thing_names import Thing

_PACKED = "packed"


def _units(values: Values) -> list[str]:
    return [str(values[name]) for name in values if name.startswith(_PACKED)]


def _carton(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = sscc(reading, say.A_NEW_CARTON_LABEL)
    if context.queries.carton(code) is not None:
        raise say.carton_known(code)
    if context.queries.sscc_issued_for(code) != "carton":
        raise say.not_issued(code)
    refuse_void(Thing.CARTON_LABEL, code, context)
    return code


def _gtin(unit: PieceFact, context: ScanContext) -> str:
    bill = bill_of(unit.build, context)
    if bill.gtin is None:
        raise say.not_sold(unit, bill)
    return bill.gtin


def _unit_or_end(reading: Reading, values: Values, context: ScanContext) -> str:
    units = _units(values)
    if isinstance(reading, LogisticRead) and sscc(reading, say.A_UNIT_OR_THE_CARTON) == values["sscc"]:
        if not units:
            raise say.nothing_packed(values["sscc"])
        return str(values["sscc"])
    unit = known_piece(reading, context)
    if unit.code in units:
        raise unit_sentences.scanned_twice(unit.code)
    gtin = _gtin(unit, context)
    if units and _gtin(piece_of(units[0], context), context) != gtin:
        raise say.another_product(unit, gtin, _gtin(piece_of(units[0], context), context))
    refuse_unusable(unit, context)
    if unit.status is not PieceStatus.PASSED:
        raise unit_sentences.not_tested(unit)
    return unit.code


def _size(units: list[str], context: ScanContext) -> int | None:
    product = context.queries.product(_gtin(piece_of(units[0], context), context)) if units else None
    return None if product is None else product.carton_size


def _more(values: Values, context: ScanContext) -> Slot | None:
    units = _units(values)
    size = _size(units, context)
    if units and (units[-1] == values["sscc"] or len(units) == size):
        return None

    def asks(_values: Values, _context: ScanContext) -> str:
        return say.scan_more(len(units), size)

    return Slot(f"{_PACKED} {len(units) + 1}", say.SCAN_A_UNIT, _unit_or_end, told_before=asks)


def _pack(values: Values, context: ScanContext) -> ActResult:
    units = [piece_of(code, context) for code in _units(values) if code != values["sscc"]]
    body = UnitsPacked(values["sscc"], _gtin(units[0], context), tuple(as_body(unit) for unit in units))
    return ActResult((Act(body),), say.packed(body.carton, len(units)))


PACK = Form("PACK", "assembly", (Slot("sscc", say.SCAN_THE_CARTON_LABEL, _carton),), _pack, more=_more)
"""Units go into a carton."""
