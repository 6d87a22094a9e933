"""Process steps: begin one in some equipment, book what goes in, read it, make new material, end it.

A step is open from BEGIN to END. What goes in is a tool, a spindle with all that is on it, strokes of a lot, or an amount
of material: its process says which. Nothing goes in any more once the step has made material, so that the shares of a
blend are those of all that went in.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import StepStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.process.step_entries import StepBegun
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, StationActs, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_process import Equipment
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.process.step_corrections import CORRECT, REOPEN
from tracelink.station.process.step_ending import END
from tracelink.station.process.step_intake import TAKE
from tracelink.station.process.step_making import MAKE
from tracelink.station.process.step_parameters import READ
from tracelink.station.process.step_undo import UNDO
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.process import process_sentences as say
from tracelink.station.sentences.thing_names import Thing


def _new_card(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.STEP, reading, say.A_NEW_STEP_CARD)
    if context.queries.step(code) is not None:
        raise say.step_card_in_use(code)
    return code


def _equipment_of(values: Values, context: ScanContext) -> Equipment:
    found = context.queries.equipment(values["equipment"])
    assert found is not None
    return found


def _free_equipment(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.EQUIPMENT, reading, say.AN_EQUIPMENT_TAG)
    found = context.queries.equipment(code)
    if found is None:
        raise unknown(Thing.EQUIPMENT, code)
    notice = context.queries.hold_on(code)
    if notice is not None:
        raise say.equipment_held(found, notice)
    if found.open_step is not None:
        raise say.equipment_busy(found)
    return code


def _begin(values: Values, context: ScanContext) -> ActResult:
    equipment = _equipment_of(values, context)
    body = StepBegun(values["step"], equipment.code, equipment.process)
    return ActResult((Act(body),), say.begun(body.step, equipment))


FORMS = (
    Form(
        "BEGIN",
        "process",
        (
            Slot("step", say.SCAN_A_NEW_STEP_CARD, _new_card),
            Slot("equipment", say.SCAN_THE_EQUIPMENT, _free_equipment),
        ),
        _begin,
    ),
    TAKE,
    UNDO,
    READ,
    MAKE,
    END,
    CORRECT,
    REOPEN,
)


def _default(reading: Reading, context: ScanContext) -> ActResult:
    code = plant_code(CodeKind.STEP, reading, say.A_CARD_OR_STEP)
    step = context.queries.step(code)
    if step is None:
        return ActResult((), say.step_card_new(code))
    unread = context.queries.unread(code)
    finding = FindingCode.OUTSIDE_LIMITS if step.outside and step.status is StepStatus.OPEN else None
    return ActResult((), say.about_step(step, unread), finding=finding)


ACTS = StationActs({form.word: form for form in FORMS}, _default)
