"""The lab: draw samples at a stroke, judge, correct, measure. Quality's acts are done at the same bench."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading, TextKeyed
from tracelink.ledger.closed_sets import DiscPlace, LotStatus, ReasonAct
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.lab import SampleDrawn, SampleJudged, SampleTaken
from tracelink.station.common.chart_signals import judgement_signals, with_signals
from tracelink.station.common.counter import counter_reading
from tracelink.station.common.counting import count_form
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, StationActs, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.slots import reason_slot
from tracelink.station.common.taken_reading import number, plant_code
from tracelink.station.lab import decisions, judging, lab_values, measure_acts, slow_tests, study_acts
from tracelink.station.lab.decisions import LOT, lot_of
from tracelink.station.lab.drawn_pieces import DRAWUNIT
from tracelink.station.lab.known_sample import any_sample, known_sample, sample_code, sample_slot
from tracelink.station.lab.named_defect import GOOD, defect_slot, good_or_defect, is_good, named_defect
from tracelink.station.lab.sample_place import BATCH, NUMBER, PLACE, shown_in, source_of, unit_of
from tracelink.station.sentences import lab_sentences as say
from tracelink.station.sentences.bench.measuring_sentences import outside_its_limit
from tracelink.station.sentences.common_sentences import misplaced


def _new_sample(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.SAMPLE, reading, say.A_NEW_SAMPLE_TAG)
    if context.queries.sample(code) is not None:
        raise say.tag_in_use(code)
    return code


def _stroke(reading: Reading, values: Values, context: ScanContext) -> int | None:
    if isinstance(reading, TextKeyed) and reading.text.strip().lower() == say.UNKNOWN:
        return None
    stroke = number(reading, say.STROKE_OF_THE_DISC)
    lot = lot_of(values, context)
    if stroke < 1 or (lot.status == LotStatus.PRESSED and stroke > lot.counter):
        raise say.no_such_stroke(lot.code, lot.counter, stroke)
    earlier = context.queries.sample_at(lot.code, stroke)
    if earlier is not None:
        raise say.sampled_already(stroke, lot.code, earlier)
    if context.queries.spindle_with(lot.code, stroke) == DiscPlace.SET_UP:
        raise say.thrown_out(stroke, lot.code)
    return stroke


def _draw(values: Values, context: ScanContext) -> ActResult:
    lot, stroke, sample = lot_of(values, context), values["stroke"], values["sample"]
    disc = say.disc(stroke, lot.code)
    source = source_of(values)
    moved = Moved(lot.code, 1, source.place, sample, stroke, stroke)
    if source.place == DiscPlace.COUNTER:
        drawn = SampleDrawn(sample, stroke, counter_reading(lot, max(stroke, lot.counter)), moved)
        return ActResult((Act(drawn),), say.drawn(sample, disc))
    taken = SampleTaken(sample, stroke, moved, unit_of(values, context))
    left = shown_in(source.place, lot.code, context) - 1
    return ActResult((Act(taken),), say.taken(sample, disc, source.called, left))


def _good_sample(reading: Reading, values: Values, context: ScanContext) -> str:
    code = _unjudged_sample(reading, values, context)
    _require_within(code, context)
    return code


def _require_within(sample: str, context: ScanContext) -> None:
    """Refuse to call a disc good while a value of it stands outside its limit."""
    found = lab_values.outside(sample, context.queries)
    if found is not None:
        raise outside_its_limit(sample, found)


def _unjudged_sample(reading: Reading, values: Values, context: ScanContext) -> str:
    code = any_sample(reading, values, context)
    sample = known_sample(context, code)
    if sample.judged_seq is not None:
        raise say.judged_already(sample)
    return code


def _judged_sample(reading: Reading, values: Values, context: ScanContext) -> str:
    code = any_sample(reading, values, context)
    if known_sample(context, code).judged_seq is None:
        raise say.not_judged(code)
    return code


def _defect(reading: Reading, _values: Values, context: ScanContext) -> str:
    defect = named_defect(reading, say.NAME_OF_THE_DEFECT, context)
    if defect == GOOD:
        raise say.defect_is_good(defect)
    return defect


def _good_or_defect(reading: Reading, values: Values, context: ScanContext) -> str:
    if is_good(reading):
        _require_within(values["sample"], context)
    return good_or_defect(reading, context)


def _judge(values: Values, context: ScanContext) -> ActResult:
    sample = known_sample(context, values["sample"])
    defect = values.get("defect")
    good = defect in (None, GOOD)
    body = SampleJudged(sample.code, good, None if good else defect)
    act = Act(body, values.get("reason"), sample.judged_seq)
    told = say.judged(sample, None if good else defect)
    return with_signals([act], told, judgement_signals(sample, context.queries, good=good))


FORMS = (
    Form(
        "SAMPLE",
        "lab",
        (
            LOT,
            Slot("sample", say.SCAN_A_NEW_SAMPLE_TAG, _new_sample),
            Slot("stroke", say.KEY_THE_STROKE, _stroke),
            PLACE,
            BATCH,
            NUMBER,
        ),
        _draw,
    ),
    DRAWUNIT,
    Form("GOOD", "lab", (sample_slot(_good_sample),), _judge),
    Form(
        "BAD",
        "lab",
        (
            sample_slot(_unjudged_sample),
            defect_slot(say.TYPE_THE_DEFECT, _defect),
        ),
        _judge,
    ),
    Form(
        "REJUDGE",
        "lab",
        (
            sample_slot(_judged_sample),
            defect_slot(say.TYPE_GOOD_OR_DEFECT, _good_or_defect),
            reason_slot(ReasonAct.LAB_REJUDGE, say.TYPE_WHY_CORRECTED),
        ),
        _judge,
    ),
    *measure_acts.FORMS,
    *slow_tests.FORMS,
    *study_acts.FORMS,
    *judging.FORMS,
    *decisions.FORMS,
    count_form("lab"),
)


def _default(reading: Reading, context: ScanContext) -> ActResult:
    if isinstance(reading, TextKeyed):
        raise misplaced(reading, say.ACTION_CARD_OR_SAMPLE_TAG)
    sample = known_sample(context, sample_code(reading, say.ACTION_CARD_OR_SAMPLE_TAG))
    return ActResult((), say.about_sample(sample))


ACTS = StationActs({form.word: form for form in FORMS}, _default)
