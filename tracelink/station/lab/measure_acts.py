"""MEASURE and RETEST: a value of a sample, with its side, gauge and limit.

A plant that named no lab tests keeps any value that is typed, as it is.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import LimitStanding, ReasonAct
from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.lab import SampleMeasured
from tracelink.ledger.measured_values import TEST_NAME, UNIT
from tracelink.station.common.chart_signals import value_signals, with_signals
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_lab import Gauge, LabTest, MeasuredBefore
from tracelink.station.common.slots import reason_slot, second_person_slot
from tracelink.station.common.taken_reading import decimal_sign, keyed_text, plant_code
from tracelink.station.lab import lab_values
from tracelink.station.lab.known_sample import known_sample, sample_slot
from tracelink.station.lab.lab_values import LabValue
from tracelink.station.sentences.bench import measuring_sentences as say

_TYPED = re.compile(rf"({TEST_NAME})=([+-]?[0-9]{{1,9}}(?:[.,][0-9]{{1,6}})?) ?({UNIT})")


@dataclass(frozen=True, slots=True)
class TypedValue:
    """A value as it was typed."""

    name: str
    value: str
    """With a point."""
    shown: str
    """As it was typed."""
    unit: str
    test: LabTest | None
    """None if the plant named no tests."""


def _asks_for_value(context: ScanContext) -> str:
    return say.type_the_value(decimal_sign(context.queries), context.queries.lab_tests())


def typed_value(reading: Reading, context: ScanContext) -> TypedValue:
    """Return a value with its test and unit, or refuse what was typed."""
    sign = decimal_sign(context.queries)
    text = keyed_text(reading, say.a_value(sign)).strip()
    match = _TYPED.fullmatch(text)
    if match is None or sign.other.value in text:
        raise say.not_a_value(text, sign)
    name, shown, unit = match.group(1).strip(), match.group(2), match.group(3)
    test, tests = None, context.queries.lab_tests()
    if tests:
        test = lab_values.lab_test(name, tests)
        lab_values.require_unit(test, unit)
    return TypedValue(name, sign.with_point(shown), shown, unit, test)


def _value(reading: Reading, values: Values, context: ScanContext) -> TypedValue:
    typed = typed_value(reading, context)
    if typed.test is not None and not typed.test.is_of_side:
        lab_values.require_first(values["sample"], typed.test, None, context.queries)
    return typed


def _value_again(reading: Reading, values: Values, context: ScanContext) -> TypedValue:
    typed = typed_value(reading, context)
    if typed.test is None:
        # Nothing says what it would be a second value of.
        raise say.unknown_test(typed.name, ())
    if not typed.test.is_of_side:
        _required_before(values["sample"], typed.test, None, context)
    return typed


def _required_before(sample: str, test: LabTest, side: str | None, context: ScanContext) -> MeasuredBefore:
    found = lab_values.before(sample, test, side, context.queries)
    if found is None:
        raise say.not_measured(sample, test, side)
    return found


def _test_of(values: Values) -> LabTest:
    typed: TypedValue = values["value"]
    assert typed.test is not None
    return typed.test


def _is_tied(values: Values, _context: ScanContext) -> bool:
    typed: TypedValue = values["value"]
    return typed.test is not None


def _is_of_side(values: Values, context: ScanContext) -> bool:
    return _is_tied(values, context) and _test_of(values).is_of_side


def side_of(reading: Reading, values: Values, _context: ScanContext) -> str | None:
    """Return the side that was typed, or refuse what came instead."""
    return lab_values.side_for(_test_of(values), keyed_text(reading, say.THE_SIDE))


def _first_side(reading: Reading, values: Values, context: ScanContext) -> str | None:
    side = side_of(reading, values, context)
    lab_values.require_first(values["sample"], _test_of(values), side, context.queries)
    return side


def _side_again(reading: Reading, values: Values, context: ScanContext) -> str | None:
    side = side_of(reading, values, context)
    _required_before(values["sample"], _test_of(values), side, context)
    return side


def _gauge(reading: Reading, values: Values, context: ScanContext) -> Gauge:
    code = plant_code(CodeKind.GAUGE, reading, say.A_GAUGE)
    typed: TypedValue = values["value"]
    return lab_values.gauge_for(code, _test_of(values), typed.value, _day(context), context.queries)


def _day(context: ScanContext) -> str:
    return context.at[:10]


def value_given(values: Values, context: ScanContext) -> LabValue:
    """Return the value of a filled act with all that it is tied to."""
    sample, typed = known_sample(context, values["sample"]), values["value"]
    return LabValue(sample, _test_of(values), typed.value, values.get("side"), values["gauge"], _day(context))


def _measure(values: Values, context: ScanContext) -> ActResult:
    typed: TypedValue = values["value"]
    if typed.test is None:
        kept = SampleMeasured(values["sample"], typed.name, typed.value, typed.unit)
        return ActResult((Act(kept),), say.measured(kept.sample, kept.quantity, typed.shown, typed.unit))
    return _booked(values, context, None, None)


def _retest(values: Values, context: ScanContext) -> ActResult:
    before = _required_before(values["sample"], _test_of(values), values.get("side"), context)
    return _booked(values, context, before, values.get("second_person"))


def _booked(
    values: Values, context: ScanContext, before: MeasuredBefore | None, second: str | None
) -> ActResult:
    given = value_given(values, context)
    body = lab_values.result(given, context.queries, before, second)
    # What is outside its limit is booked and is a finding: whoever measured it judges it now.
    finding = FindingCode.VALUE_OUTSIDE if body.standing == LimitStanding.OUTSIDE else None
    signals = value_signals(given.sample, body, context.queries)
    told = lab_values.told(given, body, values["value"].shown)
    return with_signals([Act(body, values.get("reason"))], told, signals, finding)


def _was_outside(values: Values, context: ScanContext) -> bool:
    found = lab_values.before(values["sample"], _test_of(values), values.get("side"), context.queries)
    return found is not None and found.standing is LimitStanding.OUTSIDE


def value_slot(accept: Callable[[Reading, Values, ScanContext], TypedValue]) -> Slot:
    """Return a slot for a value, which asks for the decimal sign of the plant."""
    return Slot("value", say.type_the_value(DecimalSign.POINT), accept, asks_here=_asks_for_value)


def side_slot(accept: Callable[[Reading, Values, ScanContext], str | None]) -> Slot:
    """Return a slot for the side, where the test has sides."""
    return Slot("side", say.TYPE_THE_SIDE, accept, _is_of_side)


_SAMPLE = sample_slot()
GAUGE = Slot("gauge", say.SCAN_THE_GAUGE, _gauge, _is_tied)
"""The gauge of a value, where the plant has lab tests."""

FORMS = (
    Form(
        "MEASURE",
        "lab",
        (
            _SAMPLE,
            value_slot(_value),
            side_slot(_first_side),
            GAUGE,
        ),
        _measure,
    ),
    Form(
        "RETEST",
        "lab",
        (
            _SAMPLE,
            value_slot(_value_again),
            side_slot(_side_again),
            GAUGE,
            reason_slot(ReasonAct.LAB_RETEST, say.TYPE_WHY_AGAIN),
            replace(second_person_slot(say.BADGE_THAT_AGREES), needed=_was_outside),
        ),
        _retest,
    ),
)
"""MEASURE and RETEST."""
