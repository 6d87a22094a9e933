"""MAKE: a blend is weighed and becomes a lot of material of its own."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import WorksOn
from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.ledger.kinds.process.step_entries import StepMade
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_process import ProcessStep
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.process.running_step import STEP, step_of
from tracelink.station.process.step_amount import amount, asks_for_amount
from tracelink.station.sentences.process import process_sentences as say


def _makes(values: Values, context: ScanContext) -> ProcessStep:
    step = step_of(values, context)
    if step.works_on is not WorksOn.BLEND:
        raise say.not_a_blend(step)
    if not step.items:
        raise say.nothing_in(step)
    return step


def _new_material(reading: Reading, values: Values, context: ScanContext) -> str:
    _makes(values, context)
    code = plant_code(CodeKind.COMPOUND, reading, say.A_NEW_COMPOUND_LOT)
    if context.queries.material(code) is not None:
        raise say.material_known(code)
    return code


def _made_amount(reading: Reading, values: Values, context: ScanContext) -> int:
    step = _makes(values, context)
    made = amount(reading, values, context)
    if made > step.taken - step.made:
        raise say.more_than_went_in(step, made)
    return made


def _make(values: Values, context: ScanContext) -> ActResult:
    step = _makes(values, context)
    assert step.unit is not None
    body = StepMade(step.code, values["material"], step.process, values["amount"], step.unit)
    return ActResult((Act(body),), say.material_made(step, body.material, body.amount))


MAKE = Form(
    "MAKE",
    "process",
    (
        STEP,
        Slot("material", say.SCAN_THE_NEW_LOT, _new_material),
        Slot("amount", say.type_the_amount(DecimalSign.POINT), _made_amount, asks_here=asks_for_amount),
    ),
    _make,
)
"""What was made."""
