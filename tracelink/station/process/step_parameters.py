"""READ: a parameter of a running step, as somebody read it, judged against the limits of the plant."""

import re

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.process.step_entries import StepRead
from tracelink.ledger.measured_values import standing_of
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_process import Parameter
from tracelink.station.common.taken_reading import decimal_sign, keyed_text
from tracelink.station.process.running_step import STEP, step_of
from tracelink.station.sentences.process import parameter_sentences as say

_READING = re.compile(r"([a-z][a-z0-9 -]{0,39})=([+-]?[0-9]{1,9}(?:[.,][0-9]{1,6})?) ?([A-Za-z%°µ/]{1,10})")


def _split(text: str, context: ScanContext) -> tuple[str, str, str]:
    match = _READING.fullmatch(text)
    sign = decimal_sign(context.queries)
    if match is None or sign.other.value in match[2]:
        raise say.not_a_reading(text, sign)
    return match[1].strip(), sign.with_point(match[2]), match[3]


def _asks(context: ScanContext) -> str:
    return say.type_the_reading(decimal_sign(context.queries))


def _parameter(values: Values, context: ScanContext, name: str) -> Parameter:
    step = step_of(values, context)
    known = context.queries.parameters(step.process)
    found = next((each for each in known if each.name == name), None)
    if found is None:
        raise say.no_such_parameter(step, name, known)
    return found


def _reading(reading: Reading, values: Values, context: ScanContext) -> str:
    text = keyed_text(reading, say.A_READING).strip()
    name, _, unit = _split(text, context)
    parameter = _parameter(values, context, name)
    if unit != parameter.unit:
        raise say.wrong_unit(parameter, unit)
    return text


def _read(values: Values, context: ScanContext) -> ActResult:
    step = step_of(values, context)
    name, value, unit = _split(values["reading"], context)
    parameter = _parameter(values, context, name)
    outside = standing_of(value, parameter.least, parameter.most) is LimitStanding.OUTSIDE
    body = StepRead(step.code, name, value, unit, outside)
    if outside:
        # Booked all the same: it was read. But nobody goes on as if nothing were.
        return ActResult(
            (Act(body),), say.read_outside(step, parameter, value), finding=FindingCode.OUTSIDE_LIMITS
        )
    return ActResult((Act(body),), say.read(step, parameter, value))


READ = Form(
    "READ",
    "process",
    (STEP, Slot("reading", say.type_the_reading(DecimalSign.POINT), _reading, asks_here=_asks)),
    _read,
)
"""What was read in a step."""
