"""END: a step is over; what was not as it should be asks why."""

from tracelink.ledger.closed_sets import ReasonAct, WorksOn
from tracelink.ledger.kinds.process.step_entries import StepEnded
from tracelink.ledger.quantities import amount_words
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_process import ProcessStep
from tracelink.station.common.slots import reason_slot
from tracelink.station.process.running_step import STEP, step_of
from tracelink.station.sentences.process import process_sentences as say


def _missing(step: ProcessStep, context: ScanContext) -> str | None:
    """What went into a blend and was not made of it, where it is more than the plant takes for granted."""
    if step.works_on is not WorksOn.BLEND or step.unit is None:
        return None
    missing = step.taken - step.made
    # In whole numbers: a share of 20 permille of 1 kg is 20 g, and 20 g are taken for granted.
    too_much = missing * 1000 > step.taken * context.queries.setting("blend_loss_permille")
    return amount_words(missing, step.unit) if too_much else None


def _needs_reason(values: Values, context: ScanContext) -> bool:
    step = step_of(values, context)
    return bool(
        not step.items or step.outside or context.queries.unread(step.code) or _missing(step, context)
    )


def _says_why(values: Values, context: ScanContext) -> str:
    step = step_of(values, context)
    return say.why_at_the_end(step, context.queries.unread(step.code), _missing(step, context))


def _end(values: Values, context: ScanContext) -> ActResult:
    step = step_of(values, context)
    body = StepEnded(
        step.code,
        step.process,
        step.equipment,
        step.taken,
        step.made,
        step.outside,
        tuple(context.queries.unread(step.code)),
    )
    return ActResult((Act(body, values.get("reason")),), say.ended(step, step.taken - step.made))


_WHY = reason_slot(ReasonAct.PROCESS_END, say.TYPE_WHY_NOT_AS_PLANNED)

END = Form(
    "END",
    "process",
    (STEP, Slot("reason", _WHY.asks, _WHY.accept, _needs_reason, _says_why, _WHY.asks_here)),
    _end,
)
"""The end of a step."""
