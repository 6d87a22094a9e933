"""The lab: draw samples at a stroke, judge, correct, measure. Quality's acts are done at the same bench."""

import re

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading, TextKeyed
from tracelink.ledger.closed_sets import DiscPlace, LotStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.lab import (
    SampleDrawn,
    SampleJudged,
    SampleMeasured,
    SampleTaken,
)
from tracelink.station.common.counter import counter_reading
from tracelink.station.common.counting import count_form
from tracelink.station.common.forms import (
    ActResult,
    Form,
    ScanContext,
    Slot,
    StationActs,
    Values,
    keyed_text,
    number,
    plant_code,
)
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries import Sample
from tracelink.station.common.slots import reason_slot
from tracelink.station.lab import decisions
from tracelink.station.lab.decisions import LOT, lot_of
from tracelink.station.lab.sample_place import BATCH, NUMBER, PLACE, shown_in, source_of, unit_of
from tracelink.station.sentences import lab_sample_sentences as say
from tracelink.station.sentences.common_sentences import misplaced

_MEASUREMENT = re.compile(r"([a-z][a-z_ ]{0,30})=([+-]?[0-9]{1,9}(?:\.[0-9]{1,6})?) ?([A-Za-z%°µ/]{1,10})")
GOOD = "good"
"""What is keyed instead of a defect's name when a judgement is corrected to good."""

_QUANTITY_FORM = "name=value unit, such as mass=141.2 g"


def _new_sample(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.SAMPLE, reading, "a new sample tag")
    if context.queries.sample(code) is not None:
        raise Refused(
            FindingCode.TAG_IN_USE, f"Sample tag {code} is in use already. Take a new tag.", subject=code
        )
    return code


def _stroke(reading: Reading, values: Values, context: ScanContext) -> int | None:
    if isinstance(reading, TextKeyed) and reading.text.strip().lower() == say.UNKNOWN:
        return None
    stroke = number(reading, "the stroke of the disc")
    lot = lot_of(values, context)
    if stroke < 1 or (lot.status == LotStatus.PRESSED and stroke > lot.counter):
        raise Refused(
            FindingCode.NO_SUCH_STROKE,
            f"Lot {lot.code} has strokes 1 to {lot.counter}; it has no disc {stroke}.",
            subject=lot.code,
            expected=f"1 to {lot.counter}",
            found=str(stroke),
        )
    earlier = context.queries.sample_at(lot.code, stroke)
    if earlier is not None:
        raise Refused(
            FindingCode.ALREADY_SAMPLED,
            f"Disc {stroke} of {lot.code} has been sampled already: tag {earlier}.",
            subject=lot.code,
        )
    if context.queries.spindle_with(lot.code, stroke) == DiscPlace.SET_UP:
        raise Refused(
            FindingCode.THROWN_OUT,
            f"Stroke {stroke} of {lot.code} was scrapped when the press was set up. Read the stroke again, or tell quality.",
            subject=lot.code,
        )
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


def _sample(context: ScanContext, code: str) -> Sample:
    sample = context.queries.sample(code)
    if sample is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Sample tag {code} is not in the system.", subject=code)
    return sample


def _any_sample(reading: Reading, _values: Values, context: ScanContext) -> str:
    return _sample(context, plant_code(CodeKind.SAMPLE, reading, "a sample tag")).code


def _unjudged_sample(reading: Reading, values: Values, context: ScanContext) -> str:
    code = _any_sample(reading, values, context)
    if _sample(context, code).judged_seq is not None:
        raise Refused(
            FindingCode.ALREADY_JUDGED,
            f"Sample {code} has been judged already. To correct it, scan CANCEL, then REJUDGE.",
            subject=code,
        )
    return code


def _judged_sample(reading: Reading, values: Values, context: ScanContext) -> str:
    code = _any_sample(reading, values, context)
    if _sample(context, code).judged_seq is None:
        raise Refused(
            FindingCode.NOT_JUDGED,
            f"Sample {code} has no judgement to correct. Scan CANCEL, then GOOD or BAD.",
            subject=code,
        )
    return code


def _defect(reading: Reading, _values: Values, _scene: ScanContext) -> str:
    defect = keyed_text(reading, "the name of the defect").strip().lower()
    if defect == GOOD:
        raise Refused(
            FindingCode.WRONG_FORMAT,
            "A bad sample needs the name of its defect, not the word good. Type the name, or scan CANCEL and GOOD.",
            subject=defect,
            expected="the name of the defect",
            found=defect,
        )
    return defect


def _good_or_defect(reading: Reading, _values: Values, _scene: ScanContext) -> str:
    return keyed_text(reading, "good, or the name of the defect").strip().lower()


def _judge(values: Values, context: ScanContext) -> ActResult:
    sample = _sample(context, values["sample"])
    defect = values.get("defect")
    good = defect in (None, GOOD)
    body = SampleJudged(sample.code, good, None if good else defect)
    word = "good" if good else f"bad: {defect}"
    act = Act(body, values.get("reason"), sample.judged_seq)
    stroke = say.short_disc(sample.stroke)
    return ActResult((act,), f"Sample {sample.code} (lot {sample.lot}, {stroke}) is {word}.")


def _measurement(reading: Reading, _values: Values, _scene: ScanContext) -> str:
    text = keyed_text(reading, f"a measured value: {_QUANTITY_FORM}").strip()
    if not _MEASUREMENT.fullmatch(text):
        raise Refused(
            FindingCode.WRONG_FORMAT,
            f'"{text}" is not a measured value. Type it as {_QUANTITY_FORM}.',
            subject=text,
            expected=_QUANTITY_FORM,
            found=text,
        )
    return text


def _measure(values: Values, _scene: ScanContext) -> ActResult:
    match = _MEASUREMENT.fullmatch(values["value"])
    assert match is not None
    quantity, value, unit = match.groups()
    body = SampleMeasured(values["sample"], quantity.strip(), value, unit)
    return ActResult((Act(body),), f"Sample {body.sample}: {body.quantity} {value} {unit}.")


FORMS = (
    Form(
        "SAMPLE",
        "lab",
        (
            LOT,
            Slot("sample", "Scan a new sample tag.", _new_sample),
            Slot("stroke", say.KEY_THE_STROKE, _stroke),
            PLACE,
            BATCH,
            NUMBER,
        ),
        _draw,
    ),
    Form("GOOD", "lab", (Slot("sample", "Scan the sample tag.", _unjudged_sample),), _judge),
    Form(
        "BAD",
        "lab",
        (
            Slot("sample", "Scan the sample tag.", _unjudged_sample),
            Slot("defect", 'Type " and then the name of the defect.', _defect),
        ),
        _judge,
    ),
    Form(
        "REJUDGE",
        "lab",
        (
            Slot("sample", "Scan the sample tag.", _judged_sample),
            Slot("defect", 'Type " and then good, or the name of the defect.', _good_or_defect),
            reason_slot('Type " and then why the judgement is corrected.'),
        ),
        _judge,
    ),
    Form(
        "MEASURE",
        "lab",
        (
            Slot("sample", "Scan the sample tag.", _any_sample),
            Slot("value", f'Type " and then {_QUANTITY_FORM}.', _measurement),
        ),
        _measure,
    ),
    *decisions.FORMS,
    count_form("lab"),
)


def _default(reading: Reading, context: ScanContext) -> ActResult:
    if isinstance(reading, TextKeyed):
        raise misplaced(reading, "an action card or a sample tag")
    sample = _sample(context, plant_code(CodeKind.SAMPLE, reading, "an action card or a sample tag"))
    judged = "judged" if sample.judged_seq is not None else "not judged yet"
    return ActResult((), f"Sample {sample.code} is {say.disc(sample.stroke, sample.lot)}, {judged}.")


ACTS = StationActs({form.word: form for form in FORMS}, _default)
