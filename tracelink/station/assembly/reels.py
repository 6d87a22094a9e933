"""TAPE, FILL and LEFT: reels and trays are made of accepted part lots, and what is left on them is counted."""

from collections.abc import Callable

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.assembly.part_entries import ReelCounted, ReelFilled
from tracelink.ledger.parts.part_sets import PartLotStatus
from tracelink.station.assembly.incoming import some_pieces
from tracelink.station.assembly.known_parts import known_lot, known_reel
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.taken_reading import number, plant_code
from tracelink.station.sentences.assembly import part_sentences as say
from tracelink.station.sentences.thing_names import Thing


def _label(*, in_order: bool) -> Callable[[Reading, Values, ScanContext], str]:
    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        code = plant_code(CodeKind.REEL, reading, say.A_NEW_REEL_LABEL)
        reel = context.queries.reel(code)
        if reel is not None and reel.in_order is not in_order:
            raise say.other_order(reel)
        if reel is not None and (reel.used or reel.dropping or reel.slot is not None):
            raise say.reel_begun(reel)
        return code

    return accept


def _lot(reading: Reading, values: Values, context: ScanContext) -> str:
    lot = known_lot(reading, context)
    refuse_held(context.queries.hold_on(lot.code), Thing.PART_LOT, lot.code)
    if lot.status is not PartLotStatus.ACCEPTED:
        raise say.lot_not_accepted(lot)
    reel = context.queries.reel(values["reel"])
    if reel is not None and (reel.part, reel.revision) != (lot.part, lot.revision):
        raise say.another_part(reel, lot)
    return lot.code


def _quantity(reading: Reading, values: Values, context: ScanContext) -> int:
    pieces = some_pieces(reading, values, context)
    lot = context.queries.part_lot(values["part_lot"])
    assert lot is not None
    if pieces > lot.left:
        raise say.too_few_left(lot, pieces)
    return pieces


def _form(word: str, *, in_order: bool) -> Form:
    def fill(values: Values, context: ScanContext) -> ActResult:
        lot, reel = context.queries.part_lot(values["part_lot"]), context.queries.reel(values["reel"])
        assert lot is not None
        first = 1 if reel is None else reel.holds + 1
        last = first + values["quantity"] - 1
        body = ReelFilled(values["reel"], lot.code, lot.part, lot.revision, in_order, first, last)
        return ActResult((Act(body),), say.filled(body.reel, lot, first, last, in_order=in_order))

    return Form(
        word,
        "assembly",
        (
            Slot("reel", say.SCAN_THE_LABEL_TO_FILL, _label(in_order=in_order)),
            Slot("part_lot", say.SCAN_THE_PART_LOT_CARD, _lot),
            Slot("quantity", say.KEY_HOW_MANY, _quantity),
        ),
        fill,
    )


TAPE = _form("TAPE", in_order=True)
"""Parts are taped on a reel, one behind the other."""
FILL = _form("FILL", in_order=False)
"""Parts are poured into a tray."""


def _loose_reel(reading: Reading, _values: Values, context: ScanContext) -> str:
    reel = known_reel(reading, context)
    if reel.slot is not None:
        raise say.in_a_slot(reel)
    return reel.code


def _count(reading: Reading, _values: Values, _context: ScanContext) -> int:
    return number(reading, say.HOW_MANY_LEFT)


def _left(values: Values, context: ScanContext) -> ActResult:
    reel = context.queries.reel(values["reel"])
    assert reel is not None
    body = ReelCounted(reel.code, reel.left, values["count"])
    finding = None if body.counted == body.shown else FindingCode.COUNT_DIFFERS
    return ActResult((Act(body),), say.left_counted(reel, body.counted), finding=finding)


LEFT = Form(
    "LEFT",
    "assembly",
    (
        Slot("reel", say.SCAN_THE_REEL_LABEL, _loose_reel),
        Slot("count", say.KEY_HOW_MANY_LEFT, _count),
    ),
    _left,
)
"""What is left on a reel is counted."""
