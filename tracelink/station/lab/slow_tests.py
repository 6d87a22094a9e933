"""SLOWTEST and READING: a disc is played, dropped, heated or stored, and looked at again on set days.

What is bad at a reading is a bad judgement of the sample, however long after its lot was released: it takes the place of a
good one, and every question counts it like any other.
"""

from datetime import date, timedelta

from tracelink.identity.reading import Reading
from tracelink.ledger.kinds.lab import SampleJudged
from tracelink.ledger.kinds.measuring.slow_test_entries import ReadingDue, SlowReadingTaken, SlowTestBegun
from tracelink.station.common.chart_signals import judgement_signals, with_signals
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_lab import SlowReading
from tracelink.station.common.taken_reading import keyed_text
from tracelink.station.lab.known_sample import any_sample, known_sample, sample_slot
from tracelink.station.lab.named_defect import GOOD, defect_slot, good_or_defect
from tracelink.station.sentences import lab_sentences
from tracelink.station.sentences.bench import judging_sentences as say


def _fresh_sample(reading: Reading, values: Values, context: ScanContext) -> str:
    code = any_sample(reading, values, context)
    if context.queries.in_slow_test(code):
        raise say.begun_before(code)
    return code


def _name(reading: Reading, _values: Values, context: ScanContext) -> str:
    name = keyed_text(reading, say.A_SLOW_TEST).strip().lower()
    if context.queries.slow_test(name) is None:
        raise say.unknown_slow_test(name, context.queries.slow_tests())
    return name


def _begin(values: Values, context: ScanContext) -> ActResult:
    name, sample = values["slow_test"], values["sample"]
    today = date.fromisoformat(context.at[:10])
    planned = context.queries.slow_test(name) or ()
    due = tuple(ReadingDue(label, (today + timedelta(days=days)).isoformat()) for label, days in planned)
    body = SlowTestBegun(sample, name, due)
    return ActResult((Act(body),), say.slow_test_begun(sample, name, due[0].due, len(due)))


def _due_sample(reading: Reading, values: Values, context: ScanContext) -> str:
    code = any_sample(reading, values, context)
    _due(code, context)
    return code


def _due(sample: str, context: ScanContext) -> SlowReading:
    found = context.queries.next_reading(sample)
    if found is None:
        raise say.no_reading(sample)
    if found.due > context.at[:10]:
        raise say.too_early(sample, found, context.at[:10])
    return found


def _finding(reading: Reading, _values: Values, context: ScanContext) -> str:
    return good_or_defect(reading, context)


def _read(values: Values, context: ScanContext) -> ActResult:
    sample, found = known_sample(context, values["sample"]), values["defect"]
    reading, defect = _due(sample.code, context), None if found == GOOD else found
    acts = [Act(SlowReadingTaken(sample.code, reading.line, reading.label, defect is None, defect))]
    told = say.reading_taken(sample, reading, defect)
    if defect is None:
        return ActResult(tuple(acts), told)
    judged = SampleJudged(sample.code, good=False, defect=defect)
    acts.append(Act(judged, say.why_bad(reading), sample.judged_seq))
    return with_signals(acts, told, judgement_signals(sample, context.queries, good=False))


FORMS = (
    Form(
        "SLOWTEST",
        "lab",
        (
            sample_slot(_fresh_sample),
            Slot("slow_test", say.TYPE_THE_SLOW_TEST, _name),
        ),
        _begin,
    ),
    Form(
        "READING",
        "lab",
        (
            sample_slot(_due_sample),
            defect_slot(lab_sentences.TYPE_GOOD_OR_DEFECT, _finding),
        ),
        _read,
    ),
)
"""SLOWTEST and READING."""
