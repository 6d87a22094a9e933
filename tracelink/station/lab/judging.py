"""What follows from discs: WAIVE by two people, REJECTPART of a lot, MISSED of a wanted one, and SORT."""

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.kinds.measuring.judgement_entries import SampleWaived, StrokesRejected
from tracelink.ledger.kinds.measuring.plan_entries import DiscMissed
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.slots import reason_slot, second_person_slot
from tracelink.station.common.taken_reading import number
from tracelink.station.lab.decisions import LOT, lot_of
from tracelink.station.lab.known_sample import any_sample, known_sample, sample_slot
from tracelink.station.lab.sorting import SORT
from tracelink.station.sentences import decision_sentences, lab_sentences
from tracelink.station.sentences.bench import judging_sentences as say


def _bad_sample(reading: Reading, values: Values, context: ScanContext) -> str:
    code = any_sample(reading, values, context)
    if known_sample(context, code).defect is None:
        raise say.not_bad(code)
    if context.queries.is_waived(code):
        raise say.waived_already(code)
    return code


def _waive(values: Values, context: ScanContext) -> ActResult:
    body = SampleWaived(values["sample"], values["second_person"])
    return ActResult((Act(body, values["reason"]),), say.waived(known_sample(context, body.sample)))


def _stroke_from(least: int, reading: Reading, values: Values, context: ScanContext) -> int:
    stroke, lot = number(reading, say.A_STROKE), lot_of(values, context)
    if not least <= stroke <= lot.counter:
        raise say.no_such_strokes(lot.code, lot.counter, stroke, least)
    return stroke


def _first(reading: Reading, values: Values, context: ScanContext) -> int:
    return _stroke_from(1, reading, values, context)


def _last(reading: Reading, values: Values, context: ScanContext) -> int:
    return _stroke_from(values["first"], reading, values, context)


def _reject_part(values: Values, context: ScanContext) -> ActResult:
    lot, first, last = values["lot"], values["first"], values["last"]
    hold = context.queries.next_code("H")
    # Strokes that are held catch what is stacked from now on; what may hold one of them by now is named itself.
    places = context.queries.places_of_strokes(lot, first, last)
    items = (HeldItem(lot, first, last), *(HeldItem(place, None, None) for place in places))
    acts = (
        Act(HoldPlaced(hold, lot, items), values["reason"]),
        Act(StrokesRejected(lot, first, last), values["reason"]),
    )
    return ActResult(acts, say.part_rejected(lot, (first, last), hold, len(places)))


def _missed_stroke(reading: Reading, values: Values, context: ScanContext) -> int:
    stroke, lot = _stroke_from(1, reading, values, context), values["lot"]
    sample = context.queries.sample_at(lot, stroke)
    if sample is not None:
        raise lab_sentences.sampled_already(stroke, lot, sample)
    if context.queries.is_missed(lot, stroke):
        raise say.missed_already(stroke, lot)
    return stroke


def _missed(values: Values, _context: ScanContext) -> ActResult:
    body = DiscMissed(values["lot"], values["stroke"])
    return ActResult((Act(body, values["reason"]),), say.missed(body.stroke, body.lot))


FORMS = (
    Form(
        "WAIVE",
        "quality",
        (
            sample_slot(_bad_sample),
            reason_slot(ReasonAct.LAB_WAIVE),
            second_person_slot(decision_sentences.BADGE_OF_SECOND),
        ),
        _waive,
    ),
    Form(
        "REJECTPART",
        "quality",
        (
            LOT,
            Slot("first", say.FIRST_STROKE, _first),
            Slot("last", say.LAST_STROKE, _last),
            reason_slot(ReasonAct.LAB_REJECTPART),
        ),
        _reject_part,
    ),
    Form(
        "MISSED",
        "lab",
        (
            LOT,
            Slot("stroke", say.MISSED_STROKE, _missed_stroke),
            reason_slot(ReasonAct.LAB_MISSED),
        ),
        _missed,
    ),
    SORT,
)
"""WAIVE, REJECTPART, MISSED and SORT."""
