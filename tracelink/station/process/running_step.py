"""The step that an act is about: its card is scanned first."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import StepStatus
from tracelink.station.common.forms import ScanContext, Slot, Values
from tracelink.station.common.queries_process import ProcessStep
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.process import process_sentences as say
from tracelink.station.sentences.thing_names import Thing


def step_of(values: Values, context: ScanContext) -> ProcessStep:
    """Return the step whose card was scanned."""
    found = context.queries.step(values["step"])
    assert found is not None
    return found


def _running(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.STEP, reading, say.A_STEP_CARD)
    step = context.queries.step(code)
    if step is None:
        raise unknown(Thing.STEP_CARD, code)
    if step.status is not StepStatus.OPEN:
        raise say.step_over(step)
    return code


STEP = Slot("step", say.SCAN_THE_STEP_CARD, _running)
"""The card of a step that is not over."""
