"""CORRECT the amount that a step made, REOPEN a step that was ended by mistake.

The amount of a product is no share of anything: what it was pressed into and blended into stays as it is. So it may be
corrected at any time; what went into the step is taken back by UNDO, once nothing is made of it any more.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import ReasonAct, StepStatus
from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.ledger.kinds.process.corrected_steps import StepAmountCorrected, StepReopened
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_process import ProcessStep, StepOutput
from tracelink.station.common.slots import reason_slot, second_person_slot
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.process.running_step import step_of
from tracelink.station.process.step_amount import amount, asks_for_amount
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.process import correction_sentences as say
from tracelink.station.sentences.process import process_sentences
from tracelink.station.sentences.thing_names import Thing


def _step(reading: Reading, context: ScanContext, asked: str) -> ProcessStep:
    code = plant_code(CodeKind.STEP, reading, asked)
    step = context.queries.step(code)
    if step is None:
        raise unknown(Thing.STEP_CARD, code)
    return step


def _that_made(reading: Reading, _values: Values, context: ScanContext) -> str:
    step = _step(reading, context, say.A_STEP_THAT_MADE)
    if not step.made:
        raise say.made_nothing(step)
    return step.code


def _made(values: Values, context: ScanContext) -> StepOutput:
    found = context.queries.made_in_step(values["step"], values["material"])
    assert found is not None
    return found


def _product(reading: Reading, values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.COMPOUND, reading, say.WHAT_IT_MADE)
    if context.queries.made_in_step(values["step"], code) is None:
        raise say.not_made_in(step_of(values, context), code)
    return code


def _right_amount(reading: Reading, values: Values, context: ScanContext) -> int:
    right = amount(reading, values, context)
    step, made = step_of(values, context), _made(values, context)
    left = step.taken - step.made + made.amount
    if right > left or right == made.amount:
        raise say.cannot_have_made(step, values["material"], made.amount, right, left)
    return right


def _correct(values: Values, context: ScanContext) -> ActResult:
    step, made = step_of(values, context), _made(values, context)
    assert step.unit is not None
    body = StepAmountCorrected(
        step.code,
        values["material"],
        step.process,
        made.made,
        made.amount,
        values["amount"],
        step.unit,
        values["second_person"],
    )
    return ActResult((Act(body, values["reason"], made.said_at),), say.amount_corrected(body))


def _that_is_over(reading: Reading, _values: Values, context: ScanContext) -> str:
    step = _step(reading, context, say.A_STEP_THAT_IS_OVER)
    if step.status is not StepStatus.ENDED:
        raise say.runs_still(step)
    equipment = context.queries.equipment(step.equipment)
    assert equipment is not None
    if equipment.open_step is not None:
        raise process_sentences.equipment_busy(equipment)
    return step.code


def _reopen(values: Values, context: ScanContext) -> ActResult:
    step, ended = step_of(values, context), context.queries.end_of_step(values["step"])
    assert ended is not None
    body = StepReopened(step.code, ended, values["second_person"])
    return ActResult((Act(body, values["reason"], ended),), say.reopened(step))


_SECOND = second_person_slot(say.QUALITY_LOOKS_AND_SCANS, say.A_SECOND_BADGE)

CORRECT = Form(
    "CORRECT",
    "process",
    (
        Slot("step", process_sentences.SCAN_THE_STEP_CARD, _that_made),
        Slot("material", say.SCAN_WHAT_IT_MADE, _product),
        Slot(
            "amount",
            process_sentences.type_the_amount(DecimalSign.POINT),
            _right_amount,
            asks_here=asks_for_amount,
        ),
        reason_slot(ReasonAct.PROCESS_CORRECT),
        _SECOND,
    ),
    _correct,
)
"""Another amount than was booked."""

REOPEN = Form(
    "REOPEN",
    "process",
    (
        Slot("step", process_sentences.SCAN_THE_STEP_CARD, _that_is_over),
        reason_slot(ReasonAct.PROCESS_REOPEN),
        _SECOND,
    ),
    _reopen,
)
"""A step that was not over."""
