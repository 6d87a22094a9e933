"""Mending at a press: CORRECT a counter that was read wrong, RESUME a lot that was taken off before its end.

Only the last reading of a lot that still runs is corrected, and only while nothing rests on the strokes in doubt:
nothing was taken from the stack, no disc of them was sampled, no count was made, nothing was changed after it.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import LotDecision, LotStatus, ReasonAct
from tracelink.ledger.kinds.press_corrections import CounterCorrected, PressResumed
from tracelink.station.common.counter import require_range
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_press import LastRange
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot, second_person_slot
from tracelink.station.common.station_facts import Lot
from tracelink.station.common.taken_reading import number, plant_code
from tracelink.station.press.counter import require_running
from tracelink.station.press.setup import SET_UP_SLOTS, mounted_of, press_free
from tracelink.station.sentences import press_corrections_sentences as say
from tracelink.station.sentences import press_sentences
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.thing_names import Thing


def _last_range(context: ScanContext) -> tuple[Lot, LastRange]:
    """Return the running lot and the strokes its last reading put somewhere, or refuse to touch them."""
    lot = require_running(context)
    found = context.queries.last_range(lot.code)
    assert lot.segment is not None
    if found is None or found.last != lot.counter or lot.segment > lot.counter:
        raise say.nothing_to_correct(lot.code, lot.counter)
    if found.rests is not None:
        raise say.rests_on_reading(lot.counter, lot.code, found.rests)
    return lot, found


def _right_counter(reading: Reading, _values: Values, context: ScanContext) -> int:
    value = number(reading, say.THE_COUNTER_AS_IT_SHOULD_BE)
    lot, found = _last_range(context)
    require_range(lot, value)
    assert lot.segment is not None
    least = max(found.first, lot.segment)
    if value == lot.counter or value < least:
        raise say.cannot_replace(lot.code, lot.counter, found.first, value, least)
    taken = context.queries.sampled_from(lot.code, value + 1)
    if taken is not None:
        raise say.sample_is_later(taken[0], taken[1], lot.code, value)
    return value


def _correct(values: Values, context: ScanContext) -> ActResult:
    lot, found = _last_range(context)
    assert lot.segment is not None
    body = CounterCorrected(
        lot=lot.code,
        segment=lot.segment,
        before=lot.counter,
        counter=values["counter"],
        place=found.place,
        first=found.first,
        moved=found.entry,
        line=found.line,
        agreed_by=values["second_person"],
    )
    sentence = say.corrected(body)
    act = Act(body, values["reason"], corrects=found.entry)
    return ActResult((act,), sentence, press_sentences.counter_at(body.counter))


def _stopped_lot(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.LOT, reading, say.CARD_OF_A_STOPPED_LOT)
    lot = context.queries.lot(code)
    if lot is None:
        raise unknown(Thing.LOT_CARD, code)
    if lot.status != LotStatus.PRESSED:
        raise say.not_taken_off(code, lot.status)
    if lot.decision != LotDecision.PENDING:
        raise say.lot_decided(code, lot.decision)
    refuse_held(context.queries.hold_on(code), Thing.LOT, code)
    return code


def _resume(values: Values, context: ScanContext) -> ActResult:
    lot = context.queries.lot(values["lot"])
    assert lot is not None
    first = lot.counter + 1
    body = PressResumed(lot.code, mounted_of(values, context), first, again=lot.segment == first)
    sentence = say.resumed(lot.code, first)
    return ActResult((Act(body, values["reason"]),), sentence)


FORMS = (
    Form(
        "CORRECT",
        "press",
        (
            Slot("counter", say.KEY_THE_COUNTER_AS_IT_SHOULD_BE, _right_counter),
            reason_slot(ReasonAct.PRESS_CORRECT),
            second_person_slot(say.QUALITY_CHECKS_IT, say.A_SECOND_BADGE),
        ),
        _correct,
        _last_range,
    ),
    Form(
        "RESUME",
        "press",
        (
            Slot("lot", say.SCAN_THE_CARD_OF_THE_LOT, _stopped_lot),
            *SET_UP_SLOTS,
            reason_slot(ReasonAct.PRESS_RESUME, say.TYPE_WHY_TAKEN_OFF),
        ),
        _resume,
        press_free,
    ),
)
"""CORRECT and RESUME."""
