"""PACK: finished units go into a carton with what belongs beside them; it is closed by its own label or when it is full."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tracelink.identity.reading import LogisticRead, Reading
from tracelink.ledger.kinds.assembly.unit_entries import BuiltPiece, JoinedPart, PartsJoined, UnitsPacked
from tracelink.ledger.parts.part_sets import PieceStatus
from tracelink.station.assembly.build_orders import bill_of
from tracelink.station.assembly.known_pieces import Missing, refuse_unusable
from tracelink.station.assembly.part_scans import PartsScanned, items_of, missing_with, part_taken
from tracelink.station.common.assembly.built_pieces import as_body, known_piece, piece_of
from tracelink.station.common.assembly.queries_assembly import BillLine, PieceFact
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import refuse_void
from tracelink.station.common.taken_reading import sscc
from tracelink.station.sentences.assembly import unit_packing_sentences as say
from tracelink.station.sentences.assembly import unit_sentences
from tracelink.station.sentences.thing_names import Thing

_PACKED, _BESIDE = "packed", "joined"


def _units(values: Values) -> list[str]:
    return [str(values[name]) for name in values if name.startswith(_PACKED)]


def _beside(values: Values) -> list[tuple[str, list[str]]]:
    """Each unit with what was scanned beside it."""
    found: list[tuple[str, list[str]]] = []
    for name, code in values.items():
        if name.startswith(_PACKED):
            found.append((str(code), []))
        elif name.startswith(_BESIDE):
            found[-1][1].append(str(code))
    return found


def _kit(unit: PieceFact, context: ScanContext) -> list[BillLine]:
    """What is packed with a unit."""
    return [line for line in bill_of(unit.build, context).lines if line.is_packed]


def _used(values: Values, context: ScanContext) -> dict[str, int]:
    """Parts that all units but the last take off each reel or out of each tray in this act."""
    found: dict[str, int] = {}
    for code, codes in _beside(values)[:-1]:
        for item in _items(code, codes, {}, context):
            if item.reel is not None:
                found[item.reel] = found.get(item.reel, 0) + item.quantity
    return found


def _items(
    code: str, codes: Sequence[str], used: Mapping[str, int], context: ScanContext
) -> list[JoinedPart]:
    unit = piece_of(code, context)
    return list(items_of(unit, _kit(unit, context), codes, context, used))


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


def _missing(values: Values, context: ScanContext) -> Missing:
    """What is still to be put beside the last unit."""
    code, codes = _beside(values)[-1]
    unit = piece_of(code, context)
    return missing_with(unit, _kit(unit, context), codes, context)


def _accessory(reading: Reading, values: Values, context: ScanContext) -> str:
    every = [code for _unit, codes in _beside(values) for code in codes]
    scanned = PartsScanned(every, _missing(values, context), _used(values, context))
    return part_taken(reading, piece_of(_beside(values)[-1][0], context), scanned, context)


def _more(values: Values, context: ScanContext) -> Slot | None:
    units = _units(values)
    if units and units[-1] == values["sscc"]:
        return None
    missing = _missing(values, context) if units else ()
    if missing:
        beside = sum(name.startswith(_BESIDE) for name in values)

        def asks_beside(_values: Values, _context: ScanContext) -> str:
            return say.scan_beside(units[-1], missing)

        return Slot(f"{_BESIDE} {beside + 1}", "", _accessory, told_before=asks_beside)
    size = _size(units, context)
    if units and len(units) == size:
        return None

    def asks(_values: Values, _context: ScanContext) -> str:
        return say.scan_more(len(units), size)

    return Slot(f"{_PACKED} {len(units) + 1}", say.SCAN_A_UNIT, _unit_or_end, told_before=asks)


def _pack(values: Values, context: ScanContext) -> ActResult:
    units = [piece_of(code, context) for code in _units(values) if code != values["sscc"]]
    acts: list[Act] = []
    used: dict[str, int] = {}
    for code, codes in _beside(values):
        items = _items(code, codes, used, context) if codes else []
        for item in items:
            if item.reel is not None:
                used[item.reel] = used.get(item.reel, 0) + item.quantity
        if items:
            acts.append(Act(PartsJoined(as_body(piece_of(code, context)), tuple(items))))
    body = UnitsPacked(values["sscc"], _gtin(units[0], context), tuple(_packed(unit, acts) for unit in units))
    return ActResult((*acts, Act(body)), say.packed(body.carton, len(units)))


def _packed(unit: PieceFact, acts: Sequence[Act]) -> BuiltPiece:
    """A unit as the entry of its carton has it: what was put beside it may have been the first entry about it."""
    known = any(isinstance(act.body, PartsJoined) and act.body.unit.piece == unit.code for act in acts)
    return replace(as_body(unit), is_new=unit.is_new and not known)


PACK = Form("PACK", "assembly", (Slot("sscc", say.SCAN_THE_CARTON_LABEL, _carton),), _pack, more=_more)
"""Units go into a carton."""
