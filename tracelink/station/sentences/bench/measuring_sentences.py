"""What the lab is told of measured values: their form, their limit, the gauge, and what was measured before."""

from collections.abc import Sequence

from tracelink.ledger.chart_words import SignalFields, signal_words
from tracelink.ledger.count_words import either
from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.measuring.result_entries import ResultRecorded
from tracelink.ledger.limit_words import limit_words, of_side
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_lab import Gauge, LabTest, MeasuredBefore, SlowReading

TYPE_THE_SIDE = 'Type " and then the side that was measured, A or B.'
SCAN_THE_GAUGE = "Scan the gauge it was measured with."
TYPE_WHY_AGAIN = 'Type " and then why the value before does not count.'
BADGE_THAT_AGREES = "The value before is outside its limit: scan the badge of the second person who agrees."
"""What a slot asks for."""

THE_SIDE = "the side, A or B"
A_GAUGE = "the gauge it was measured with"
"""What belongs into a slot, for whoever scans something else."""


def _value(sign: DecimalSign) -> str:
    return f"name=value unit, such as mass={sign.shown('141.2')} g"


def a_value(sign: DecimalSign) -> str:
    """Say what a measured value looks like."""
    return f"a measured value: {_value(sign)}"


def type_the_value(sign: DecimalSign, tests: Sequence[LabTest] = ()) -> str:
    """Ask for a measured value, and name what the plant measures."""
    here = f" Measured here: {', '.join(f'{test.name} in {test.unit}' for test in tests)}." if tests else ""
    return f'Type " and then {_value(sign)}.{here}'


def not_a_value(text: str, sign: DecimalSign) -> Refused:
    """A typed text is not a measured value, perhaps for want of the sign that this plant puts before decimals."""
    why = f" Here a {sign.word} stands before the decimals." if sign.other.value in text else ""
    return Refused(
        FindingCode.WRONG_FORMAT,
        f'"{text}" is not a measured value.{why} Type it as {_value(sign)}.',
        subject=text,
        expected=_value(sign),
        found=text,
    )


def measured(sample: str, quantity: str, value: str, unit: str) -> str:
    """Say what was measured of a sample."""
    return f"Sample {sample}: {quantity} {value} {unit}."


def unknown_test(name: str, tests: Sequence[LabTest]) -> Refused:
    """The plant has tests, and none of this name."""
    known = either([test.name for test in tests])
    return Refused(
        FindingCode.UNKNOWN_TEST,
        f'"{name}" is not measured in this lab. Expected {known}.',
        subject=name,
        expected=known,
        found=name,
    )


def wrong_unit(test: LabTest, unit: str) -> Refused:
    """A value came in another unit than the test has."""
    return Refused(
        FindingCode.WRONG_UNIT,
        f"{test.name} is measured in {test.unit}, not {unit}. Nothing is converted; give it in {test.unit}.",
        subject=test.name,
        expected=test.unit,
        found=unit,
    )


def wrong_side(test: LabTest, found: str) -> Refused:
    """No side where one belongs, or one where none does."""
    expected = "A or B" if test.is_of_side else "no side"
    return Refused(
        FindingCode.WRONG_FORMAT,
        f'Side "{found}" of {test.name}: expected {expected}, as it is measured on each {test.measured_on}.',
        subject=test.name,
        expected=expected,
        found=found,
    )


def unknown_gauge(code: str) -> Refused:
    """A gauge that the plant does not have."""
    return Refused(
        FindingCode.UNKNOWN_CODE,
        f"Gauge {code} is not in the system. Expected one of the gauges of the plant file.",
        subject=code,
    )


def wrong_gauge(gauge: Gauge, test: LabTest) -> Refused:
    """A gauge that measures something else."""
    return Refused(
        FindingCode.WRONG_GAUGE,
        f"Gauge {gauge.code} ({gauge.name}) measures {either(gauge.tests)}, not {test.name}. Scan the gauge that was "
        "used.",
        subject=gauge.code,
        expected=test.name,
        found=", ".join(gauge.tests),
    )


def finer_than_gauge(gauge: Gauge, value: str) -> Refused:
    """A value that the gauge cannot have shown."""
    return Refused(
        FindingCode.FINER_THAN_GAUGE,
        f"Gauge {gauge.code} ({gauge.name}) reads in steps of {gauge.resolution}; it cannot have shown {value}. Read "
        "value and gauge again; if the value was typed wrongly, scan CANCEL first.",
        subject=gauge.code,
        expected=gauge.resolution,
        found=value,
    )


def measured_already(sample: str, before: MeasuredBefore) -> Refused:
    """A value of the same disc and side stands already."""
    return Refused(
        FindingCode.MEASURED_ALREADY,
        f"Sample {sample} has {_value_of(before)} already. A second value needs a cause: scan CANCEL, then RETEST.",
        subject=sample,
        expected="no value",
        found=before.value,
    )


def not_measured(sample: str, test: LabTest, side: str | None) -> Refused:
    """RETEST of what was not measured."""
    return Refused(
        FindingCode.NOT_MEASURED,
        f"Sample {sample} has no {test.name}{of_side(side)} yet. Scan CANCEL, then MEASURE.",
        subject=sample,
    )


def result_booked(body: ResultRecorded, shown: str, stands: str, overdue: str | None) -> str:
    """Say what was measured and what that comes to.

    Args:
        body: the value.
        shown: the value as it was typed.
        stands: what follows from the limit, as `within` and the like say it.
        overdue: what is said of the gauge; None if its calibration holds.
    """
    more = "" if overdue is None else f" {overdue}"
    return f"Sample {body.sample}: {body.quantity} {shown} {body.unit}{of_side(body.side)}, {stands}{more}"


def within(lower: str | None, upper: str | None, unit: str) -> str:
    """Say that a value is within its limit."""
    return f"within the limit ({limit_words(lower, upper, unit)})."


def outside(lower: str | None, upper: str | None, unit: str, defect: str) -> str:
    """Say that a value is outside its limit, and what is proposed."""
    return f'outside the limit ({limit_words(lower, upper, unit)}). Judge the disc; "{defect}" is proposed: scan BAD.'


def no_limit(test: LabTest) -> str:
    """Say that nobody can tell."""
    return f"and no limit of {test.name} holds: it says neither good nor bad."


def overdue_gauge(gauge: Gauge) -> str:
    """Say that a gauge was to be calibrated by now."""
    since = "was not calibrated by that day" if gauge.due is None else f"was due on {gauge.due}"
    return f"Gauge {gauge.code} {since}; the value counts and is marked."


def outside_its_limit(sample: str, before: MeasuredBefore) -> Refused:
    """GOOD of a disc with a value outside its limit."""
    limit = limit_words(before.lower, before.upper, before.unit)
    return Refused(
        FindingCode.VALUE_OUTSIDE,
        f"Sample {sample} has {_value_of(before)}, outside the limit ({limit}). Scan CANCEL, then BAD; a value that was "
        "measured wrongly is measured again with RETEST.",
        subject=sample,
        expected=limit,
        found=before.value,
    )


def reading_name(reading: SlowReading) -> str:
    """Return how a reading of a slow test is called."""
    return f"{reading.slow_test}, {reading.label}"


def _value_of(before: MeasuredBefore) -> str:
    return f"{before.test} {before.value} {before.unit}{of_side(before.side)}"


def chart_signal(signal: SignalFields) -> str:
    """Say that a value is a signal on a chart."""
    return f"A warning: {signal_words(signal)}"
