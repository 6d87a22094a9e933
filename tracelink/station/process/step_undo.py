"""UNDO: something that was booked into a running step did not go in after all, or was not made of it."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.ledger.kinds.process.corrected_steps import StepMakeTakenBack
from tracelink.ledger.kinds.process.step_entries import StepTakenBack
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_process import ProcessStep
from tracelink.station.common.slots import reason_slot
from tracelink.station.process.running_step import STEP, step_of
from tracelink.station.sentences.common_sentences import misplaced
from tracelink.station.sentences.process import correction_sentences
from tracelink.station.sentences.process import process_sentences as say

_IN_STEPS = (CodeKind.TOOL, CodeKind.SPINDLE, CodeKind.LOT, CodeKind.COMPOUND, CodeKind.BUILD)


def _thing(reading: Reading, values: Values, context: ScanContext) -> str:
    if not isinstance(reading, PlantRead) or reading.code.kind not in _IN_STEPS:
        raise misplaced(reading, say.WHAT_DID_NOT_GO_IN)
    step, code = step_of(values, context), reading.code.text
    made = context.queries.made_in_step(step.code, code)
    if made is not None:
        if made.rests is not None:
            raise correction_sentences.rests_on_material(code, made.rests)
        return code
    if step.made:
        _refuse_used(step, context)
        raise say.made_of_it_already(step)
    if context.queries.item_in_step(step.code, code) is None:
        raise say.not_in_step(step, code)
    return code


def _refuse_used(step: ProcessStep, context: ScanContext) -> None:
    """Refuse with what rests on the materials of a step: what is used cannot be taken back, so neither can what went in."""
    for material in context.queries.made_by_step(step.code):
        made = context.queries.made_in_step(step.code, material)
        if made is not None and made.rests is not None:
            raise correction_sentences.output_used(step, material, made.rests)


def _undo(values: Values, context: ScanContext) -> ActResult:
    step, thing = step_of(values, context), values["thing"]
    made = context.queries.made_in_step(step.code, thing)
    if made is not None:
        unmade = StepMakeTakenBack(step.code, thing, made.made, made.amount)
        act = Act(unmade, values["reason"], made.said_at)
        return ActResult((act,), correction_sentences.not_made(step, thing))
    item = context.queries.item_in_step(step.code, thing)
    assert item is not None
    body = StepTakenBack(step.code, item.seq, thing, item.amount)
    return ActResult((Act(body, values["reason"], item.seq),), say.taken_back(step, thing))


UNDO = Form(
    "UNDO",
    "process",
    (
        STEP,
        Slot("thing", say.SCAN_WHAT_DID_NOT_GO_IN, _thing),
        reason_slot(ReasonAct.PROCESS_UNDO, say.TYPE_WHY_TAKEN_BACK),
    ),
    _undo,
)
"""What did not go in."""
