"""RECEIVE and TESTLOT: a part lot comes into quarantine, and leaves it by a test."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.assembly.part_entries import PartLotReceived, PartLotTested
from tracelink.ledger.parts.part_sets import PartLotStatus
from tracelink.station.assembly.known_parts import known_lot
from tracelink.station.common.assembly.queries_assembly import PartKind, PartLot
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.taken_reading import keyed_text, number, number_or_text, plant_code
from tracelink.station.sentences.assembly import part_sentences as say
from tracelink.station.sentences.assembly.unit_sentences import not_a_number_of_pieces


def _new_lot(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.PART_LOT, reading, say.A_NEW_PART_LOT_CARD)
    if context.queries.part_lot(code) is not None:
        raise say.part_lot_known(code)
    return code


def known_part(reading: Reading, _values: Values, context: ScanContext) -> str:
    """Return a part number that was typed."""
    typed = keyed_text(reading, say.A_PART_NUMBER).strip()
    if context.queries.part_kind(typed) is None:
        raise say.no_such_part(typed)
    return typed


def _text(asked: str) -> Slot:
    """A text, or a number for who keys one."""
    name, asks = _TEXTS[asked]

    def accept(reading: Reading, _values: Values, _context: ScanContext) -> str:
        return number_or_text(reading, asked).strip()

    return Slot(name, asks, accept)


_TEXTS = {
    say.A_REVISION: ("revision", say.TYPE_THE_REVISION),
    say.A_SUPPLIERS_LOT: ("supplier_lot", say.TYPE_THE_SUPPLIERS_LOT),
    say.A_DATE_CODE: ("date_code", say.TYPE_THE_DATE_CODE),
}


def some_pieces(reading: Reading, _values: Values, _context: ScanContext) -> int:
    """Return a number of pieces that was keyed, 1 or more."""
    pieces = number(reading, say.HOW_MANY)
    if pieces < 1:
        raise not_a_number_of_pieces(pieces)
    return pieces


def _kind(part: str, context: ScanContext) -> PartKind:
    kind = context.queries.part_kind(part)
    assert kind is not None
    return kind


def _receive(values: Values, context: ScanContext) -> ActResult:
    body = PartLotReceived(
        values["part_lot"],
        values["part"],
        values["revision"],
        values["supplier_lot"],
        values["date_code"],
        values["quantity"],
    )
    told = say.received(body.part_lot, _kind(body.part, context), body.quantity)
    return ActResult((Act(body),), told)


RECEIVE = Form(
    "RECEIVE",
    "assembly",
    (
        Slot("part_lot", say.SCAN_A_NEW_PART_LOT_CARD, _new_lot),
        Slot("part", say.TYPE_THE_PART_NUMBER, known_part),
        _text(say.A_REVISION),
        _text(say.A_SUPPLIERS_LOT),
        _text(say.A_DATE_CODE),
        Slot("quantity", say.KEY_HOW_MANY, some_pieces),
    ),
    _receive,
)
"""A part lot comes in."""


def _lot_of(values: Values, context: ScanContext) -> PartLot:
    lot = context.queries.part_lot(values["part_lot"])
    assert lot is not None
    return lot


def _untested(reading: Reading, _values: Values, context: ScanContext) -> str:
    lot = known_lot(reading, context)
    if lot.status is not PartLotStatus.QUARANTINE:
        raise say.tested_before(lot)
    return lot.code


def _tested(reading: Reading, values: Values, context: ScanContext) -> int:
    lot, tested = _lot_of(values, context), number(reading, say.HOW_MANY_TESTED)
    sample = _kind(lot.part, context).sample
    wanted = lot.quantity if sample is None else min(sample, lot.quantity)
    if not wanted <= tested <= lot.quantity:
        raise say.too_few_tested(lot, wanted, tested)
    return tested


def _failed(reading: Reading, values: Values, context: ScanContext) -> int:
    failed = number(reading, say.HOW_MANY_FAILED)
    if failed > values["tested"]:
        raise say.more_failed_than_tested(_lot_of(values, context), values["tested"], failed)
    return failed


def _test(values: Values, context: ScanContext) -> ActResult:
    lot, tested, failed = _lot_of(values, context), values["tested"], values["failed"]
    # What was tested to the last piece has no more bad ones in it; of a sample nobody knows that.
    accepted = failed == 0 or tested == lot.quantity > failed
    body = PartLotTested(lot.code, tested, failed, accepted)
    if accepted:
        return ActResult((Act(body),), say.lot_accepted(lot, tested, failed))
    return ActResult(
        (Act(body),), say.lot_rejected(lot, tested, failed), finding=FindingCode.PART_LOT_REJECTED
    )


TESTLOT = Form(
    "TESTLOT",
    "assembly",
    (
        Slot("part_lot", say.SCAN_THE_PART_LOT_CARD, _untested),
        Slot("tested", say.KEY_HOW_MANY_TESTED, _tested),
        Slot("failed", say.KEY_HOW_MANY_FAILED, _failed),
    ),
    _test,
)
"""A part lot is tested."""
