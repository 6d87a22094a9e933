"""Setting a lot up on a press with its A/B pair, compound and labels, and starting it on a first disc.

A press has no code reader for discs: matrix numbers are read by eye and keyed.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import LotDecision, LotStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.press import (
    Mounted,
    PressSetUp,
    PressStarted,
)
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values, keyed_text, plant_code
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries import Lot, Material, PartFact
from tracelink.station.common.refusals import refuse_held, usable_tool
from tracelink.station.common.slots import read_matrix
from tracelink.station.press.counter import lot_here


def _planned_lot(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.LOT, reading, "a lot card")
    lot = context.queries.lot(code)
    if lot is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Lot card {code} is not in the system.", subject=code)
    if lot.status != LotStatus.PLANNED:
        again = " To continue this one, scan CANCEL, then RESUME." if _may_go_on(lot) else ""
        raise Refused(
            FindingCode.LOT_USED, f"Lot {code} is {lot.status}. Set up a planned lot.{again}", subject=code
        )
    refuse_held(context.queries.hold_on(code), f"Lot {code}", code)
    return code


def _may_go_on(lot: Lot) -> bool:
    return lot.status == LotStatus.PRESSED and lot.decision == LotDecision.PENDING


def press_free(context: ScanContext) -> None:
    """Refuse while a lot is on this press."""
    here = context.queries.lot_on(context.station)
    if here is not None:
        raise Refused(
            FindingCode.PRESS_BUSY,
            f"Lot {here.code} is still on this press. Scan STOP first.",
            subject=context.station,
            found=here.code,
        )


def stamper_for(side: str, part: PartFact, code: str, context: ScanContext) -> str:
    """Refuse a stamper that does not belong on this side of this disc, each fault by its own name."""
    tool = usable_tool(code, context)
    if tool.what != "stamper":
        raise Refused(
            FindingCode.NOT_A_STAMPER,
            f"{code} is a {tool.what}. Scan a stamper.",
            subject=code,
            found=tool.what,
        )
    busy = context.queries.tool_mounted_on(code)
    if busy is not None and busy != context.station:
        raise Refused(
            FindingCode.STAMPER_ELSEWHERE,
            f"Stamper {code} is on press {busy}. Check the tag.",
            subject=code,
            found=busy,
        )
    wanted, other = (part.matrix_a, part.matrix_b) if side == "A" else (part.matrix_b, part.matrix_a)
    if tool.matrix == wanted:
        return code
    if tool.matrix == other:
        sentence = (
            f"Stamper {code} is side {tool.side} of {part.name} ({tool.matrix}); side {side} is "
            f"{wanted}. The pair is swapped: scan the side {side} stamper."
        )
        raise Refused(FindingCode.PAIR_SWAPPED, sentence, subject=code, expected=wanted, found=tool.matrix)
    sentence = (
        f"Stamper {code} is cut {tool.matrix}; side {side} of {part.name} is {wanted}. They do not "
        f"belong together: put {code} back and fetch the right stamper."
    )
    raise Refused(FindingCode.WRONG_STAMPER, sentence, subject=code, expected=wanted, found=tool.matrix)


def _set_up_part(values: Values, context: ScanContext) -> PartFact:
    lot = context.queries.lot(values["lot"])
    assert lot is not None
    return lot.part


def _stamper_slot(side: str) -> Slot:
    def accept(reading: Reading, values: Values, context: ScanContext) -> str:
        code = plant_code(CodeKind.TOOL, reading, f"the side {side} stamper")
        return stamper_for(side, _set_up_part(values, context), code, context)

    return Slot(f"stamper_{side.lower()}", f"Scan the side {side} stamper.", accept)


def material(code: str, context: ScanContext) -> Material:
    """Return a compound or label lot that may be used."""
    found = context.queries.material(code)
    if found is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Material {code} is not in the system.", subject=code)
    refuse_held(context.queries.hold_on(code), f"Material {code}", code)
    return found


def _compound(reading: Reading, _values: Values, context: ScanContext) -> str:
    return material(plant_code(CodeKind.COMPOUND, reading, "a compound lot"), context).code


def label_for(side: str, part: PartFact, code: str, context: ScanContext) -> str:
    """Refuse labels that are not for this side of this disc."""
    label = material(code, context)
    if (label.gtin, label.piece, label.side) != (part.gtin, part.piece, side):
        found = f"side {label.side} of disc {label.piece} of {label.gtin}"
        sentence = f"Labels {code} are for {found}; side {side} of {part.name} ({part.gtin}) is being set up."
        raise Refused(
            FindingCode.WRONG_LABEL,
            sentence,
            subject=code,
            expected=f"side {side} of {part.name}",
            found=found,
        )
    return code


def _label_slot(side: str) -> Slot:
    def accept(reading: Reading, values: Values, context: ScanContext) -> str:
        code = plant_code(CodeKind.LABEL_LOT, reading, f"the side {side} label lot")
        return label_for(side, _set_up_part(values, context), code, context)

    return Slot(f"label_{side.lower()}", f"Scan the side {side} label lot.", accept)


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
    sentence = (
        f"Lot {values['lot']}, {name}, is set up with {mounted.stamper_a} and {mounted.stamper_b}. "
        "Press a first disc and scan START."
    )
    return ActResult((Act(PressSetUp(values["lot"], mounted)),), sentence)


def _first_disc(side: str) -> Slot:
    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        part = lot_here(context).part
        wanted = part.matrix_a if side == "A" else part.matrix_b
        read = read_matrix(keyed_text(reading, f"the matrix number of side {side}"), context)
        if read == wanted:
            return read
        alike = context.queries.matrix_grammar().likely(read, [wanted])
        hint = " They differ only in characters that look alike: read it again." if alike else ""
        sentence = f"The first disc reads {read} on side {side}; {part.name} is {wanted}.{hint} Do not run."
        raise Refused(FindingCode.WRONG_MATRIX, sentence, subject=read, expected=wanted, found=read)

    return Slot(
        f"read_{side.lower()}", f'Type " and then the matrix number on side {side} of the first disc.', accept
    )


def _start(values: Values, context: ScanContext) -> ActResult:
    lot = lot_here(context)
    body = PressStarted(lot.code, values["read_a"], values["read_b"])
    return ActResult((Act(body),), f"Lot {lot.code} is running.")


SET_UP_SLOTS = (
    _stamper_slot("A"),
    _stamper_slot("B"),
    Slot("compound", "Scan the compound lot.", _compound),
    _label_slot("A"),
    _label_slot("B"),
)
"""What is mounted, after the lot card."""

FORMS = (
    Form(
        "SETUP",
        "press",
        (Slot("lot", "Scan the lot card.", _planned_lot), *SET_UP_SLOTS),
        _set_up,
        press_free,
    ),
    Form("START", "press", (_first_disc("A"), _first_disc("B")), _start, lot_here),
)
"""SETUP and START."""
