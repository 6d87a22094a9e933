"""Setting a lot up on a press with its A/B pair, compound and labels, and starting it on a first disc.

A press has no code reader for discs: matrix numbers are read by eye and keyed.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import LotDecision, LotStatus
from tracelink.ledger.kinds.press import (
    Mounted,
    PressSetUp,
    PressStarted,
)
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import refuse_held, usable_tool
from tracelink.station.common.slots import read_matrix
from tracelink.station.common.station_facts import Lot, Material, PartFact
from tracelink.station.common.taken_reading import keyed_text, plant_code
from tracelink.station.press.counter import lot_here
from tracelink.station.press.lab_wants import lab_wants
from tracelink.station.sentences import press_setup_sentences as say
from tracelink.station.sentences.common_sentences import A_LOT_CARD, SCAN_THE_LOT_CARD, unknown
from tracelink.station.sentences.thing_names import Thing


def _planned_lot(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.LOT, reading, A_LOT_CARD)
    lot = context.queries.lot(code)
    if lot is None:
        raise unknown(Thing.LOT_CARD, code)
    if lot.status != LotStatus.PLANNED:
        raise say.lot_used(code, lot.status, goes_on=_may_go_on(lot))
    refuse_held(context.queries.hold_on(code), Thing.LOT, code)
    return code


def _may_go_on(lot: Lot) -> bool:
    return lot.status == LotStatus.PRESSED and lot.decision == LotDecision.PENDING


def press_free(context: ScanContext) -> None:
    """Refuse while a lot is on this press."""
    here = context.queries.lot_on(context.station)
    if here is not None:
        raise say.press_busy(here.code, context.station)


def stamper_for(side: str, part: PartFact, code: str, context: ScanContext) -> str:
    """Refuse a stamper that does not belong on this side of this disc, each fault by its own name."""
    tool = usable_tool(code, context)
    if tool.what != "stamper":
        raise say.not_a_stamper(code, tool.what)
    busy = context.queries.tool_mounted_on(code)
    if busy is not None and busy != context.station:
        raise say.stamper_elsewhere(code, busy)
    wanted, other = (part.matrix_a, part.matrix_b) if side == "A" else (part.matrix_b, part.matrix_a)
    if tool.matrix == wanted:
        return code
    if tool.matrix == other:
        raise say.pair_swapped(tool, side, part)
    raise say.wrong_stamper(tool, side, part)


def _set_up_part(values: Values, context: ScanContext) -> PartFact:
    lot = context.queries.lot(values["lot"])
    assert lot is not None
    return lot.part


def _stamper_slot(side: str) -> Slot:
    def accept(reading: Reading, values: Values, context: ScanContext) -> str:
        code = plant_code(CodeKind.TOOL, reading, say.the_stamper(side))
        return stamper_for(side, _set_up_part(values, context), code, context)

    return Slot(f"stamper_{side.lower()}", say.scan_the_stamper(side), accept)


def material(code: str, context: ScanContext) -> Material:
    """Return a compound or label lot that may be used."""
    found = context.queries.material(code)
    if found is None:
        raise unknown(Thing.MATERIAL, code)
    refuse_held(context.queries.hold_on(code), Thing.MATERIAL, code)
    return found


def _compound(reading: Reading, _values: Values, context: ScanContext) -> str:
    return material(plant_code(CodeKind.COMPOUND, reading, say.A_COMPOUND_LOT), context).code


def label_for(side: str, part: PartFact, code: str, context: ScanContext) -> str:
    """Refuse labels that are not for this side of this disc."""
    label = material(code, context)
    if (label.gtin, label.piece, label.side) != (part.gtin, part.piece, side):
        raise say.wrong_label(label, side, part)
    return code


def _label_slot(side: str) -> Slot:
    def accept(reading: Reading, values: Values, context: ScanContext) -> str:
        code = plant_code(CodeKind.LABEL_LOT, reading, say.the_label_lot(side))
        return label_for(side, _set_up_part(values, context), code, context)

    return Slot(f"label_{side.lower()}", say.scan_the_label_lot(side), accept)


def life(code: str, context: ScanContext) -> int:
    """Return the strokes that a stamper has made, as last read."""
    tool = context.queries.tool(code)
    assert tool is not None
    return tool.life


def mounted_of(values: Values, context: ScanContext) -> Mounted:
    """Return what the slots of a set-up name, with the lives of its stampers."""
    a, b = values["stamper_a"], values["stamper_b"]
    lives = life(a, context), life(b, context)
    return Mounted(context.station, a, b, *lives, values["compound"], values["label_a"], values["label_b"])


def _set_up(values: Values, context: ScanContext) -> ActResult:
    mounted = mounted_of(values, context)
    name = _set_up_part(values, context).name
    sentence = say.set_up(values["lot"], name, mounted.stamper_a, mounted.stamper_b)
    return ActResult((Act(PressSetUp(values["lot"], mounted)),), sentence)


def _first_disc(side: str) -> Slot:
    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        part = lot_here(context).part
        wanted = part.matrix(side)
        read = read_matrix(keyed_text(reading, say.the_matrix_number(side)), context)
        if read == wanted:
            return read
        alike = context.queries.matrix_grammar().likely(read, [wanted])
        raise say.wrong_first_disc(read, side, part, alike=bool(alike))

    return Slot(f"read_{side.lower()}", say.type_the_matrix_number(side), accept)


def _start(values: Values, context: ScanContext) -> ActResult:
    lot = lot_here(context)
    body = PressStarted(lot.code, values["read_a"], values["read_b"])
    wanted = lab_wants(context, lot.code, lot.counter, lot.counter + 1)
    return ActResult((Act(body),), say.running(lot.code) + wanted)


SET_UP_SLOTS = (
    _stamper_slot("A"),
    _stamper_slot("B"),
    Slot("compound", say.SCAN_THE_COMPOUND_LOT, _compound),
    _label_slot("A"),
    _label_slot("B"),
)
"""What is mounted, after the lot card."""

FORMS = (
    Form(
        "SETUP",
        "press",
        (Slot("lot", SCAN_THE_LOT_CARD, _planned_lot), *SET_UP_SLOTS),
        _set_up,
        press_free,
    ),
    Form("START", "press", (_first_disc("A"), _first_disc("B")), _start, lot_here),
)
"""SETUP and START."""
