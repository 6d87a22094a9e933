"""COMPARE and STUDY: what people say of the same discs, and read on them with one gauge, without judging any."""

from tracelink.identity.reading import Reading
from tracelink.ledger.kinds.measuring.study_entries import StudyRead, VerdictCompared
from tracelink.station.common.forms import ActResult, Form, ScanContext, Values
from tracelink.station.common.outcome import Act
from tracelink.station.lab import measure_acts
from tracelink.station.lab.known_sample import any_sample, sample_slot
from tracelink.station.lab.named_defect import defect_slot, good_or_defect
from tracelink.station.sentences import lab_sentences
from tracelink.station.sentences.bench import measuring_sentences
from tracelink.station.sentences.bench import study_sentences as say


def _sample_to_compare(reading: Reading, values: Values, context: ScanContext) -> str:
    code = any_sample(reading, values, context)
    # What somebody said before is not said again: they would agree with themselves.
    if context.queries.has_compared(code, context.person.code):
        raise say.compared_already(code, context.person.name)
    return code


def _verdict(reading: Reading, _values: Values, context: ScanContext) -> str:
    return good_or_defect(reading, context)


def _compare(values: Values, context: ScanContext) -> ActResult:
    body = VerdictCompared(values["sample"], values["defect"])
    return ActResult((Act(body),), say.compared(body.sample, context.person.name, body.verdict))


def _value(reading: Reading, _values: Values, context: ScanContext) -> measure_acts.TypedValue:
    typed = measure_acts.typed_value(reading, context)
    if typed.test is None:
        # Without a test of the plant nothing says what is read, and with what.
        raise measuring_sentences.unknown_test(typed.name, ())
    return typed


def _side(reading: Reading, values: Values, context: ScanContext) -> str | None:
    return measure_acts.side_of(reading, values, context)


def _read(values: Values, context: ScanContext) -> ActResult:
    given = measure_acts.value_given(values, context)
    body = StudyRead(
        given.sample.code, given.test.name, given.value, given.test.unit, given.side, given.gauge.code
    )
    return ActResult((Act(body),), say.study_read(body, values["value"].shown))


FORMS = (
    Form(
        "COMPARE",
        "lab",
        (
            sample_slot(_sample_to_compare),
            defect_slot(lab_sentences.TYPE_GOOD_OR_DEFECT, _verdict),
        ),
        _compare,
    ),
    Form(
        "STUDY",
        "lab",
        (
            sample_slot(),
            measure_acts.value_slot(_value),
            measure_acts.side_slot(_side),
            measure_acts.GAUGE,
        ),
        _read,
    ),
)
"""COMPARE and STUDY."""
