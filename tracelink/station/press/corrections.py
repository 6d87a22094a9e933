"""Mending at a press: CORRECT a counter that was read wrong, RESUME a lot that was taken off before its end.

Only the last reading of a lot that still runs is corrected, and only while nothing rests on the strokes in doubt:
nothing was taken from the stack, no disc of them was sampled, no count was made, nothing was changed after it.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import LotDecision, LotStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.press_corrections import CounterCorrected, PressResumed
from tracelink.station.common.counter import require_range
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values, number, plant_code
from tracelink.station.common.outcome import Act, Refused, counted
from tracelink.station.common.queries import Lot
from tracelink.station.common.queries_press import LastRange
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot, second_person_slot
from tracelink.station.press.counter import require_running
from tracelink.station.press.setup import SET_UP_SLOTS, mounted_of, press_free


def _last_range(context: ScanContext) -> tuple[Lot, LastRange]:
    """Return the running lot and the strokes its last reading put somewhere, or refuse to touch them."""
    lot = require_running(context)
    found = context.queries.last_range(lot.code)
    assert lot.segment is not None
    if found is None or found.last != lot.counter or lot.segment > lot.counter:
        raise Refused(
            FindingCode.NOTHING_TO_CORRECT,
            f"The counter of {lot.code} is at {lot.counter}, and no stack or trial ends there, so this reading cannot be "
            "corrected here. Tell quality.",
            subject=lot.code,
        )
    if found.rests is not None:
        raise Refused(
            FindingCode.RESTS_ON_IT,
            f"The reading {lot.counter} of {lot.code} can no longer be corrected: {found.rests}. Tell quality.",
            subject=lot.code,
            found=found.rests,
        )
    return lot, found


def _right_counter(reading: Reading, _values: Values, context: ScanContext) -> int:
    value = number(reading, "the counter as it should have been read")
    lot, found = _last_range(context)
    require_range(lot, value)
    assert lot.segment is not None
    least = max(found.first, lot.segment)
    if value == lot.counter or value < least:
        raise Refused(
            FindingCode.WRONG_COUNTER,
            f"The counter of {lot.code} is at {lot.counter}, and the discs of that reading begin at {found.first}. "
            f"{value} cannot replace it.",
            subject=lot.code,
            expected=f"{least} or more, and not {lot.counter}",
            found=str(value),
        )
    taken = context.queries.sampled_from(lot.code, value + 1)
    if taken is not None:
        raise Refused(
            FindingCode.RESTS_ON_IT,
            f"Sample {taken[0]} is stroke {taken[1]} of {lot.code}; so the counter cannot have been {value}. Read it again.",
            subject=taken[0],
            expected=f"{taken[1]} or more",
            found=str(value),
        )
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
    off = body.counter - body.before
    discs = f"{counted(abs(off), 'disc')} {'more' if off > 0 else 'fewer'}"
    sentence = f"The counter of {lot.code} is {body.counter}, not {body.before}: {discs} in {found.place}."
    act = Act(body, values["reason"], corrects=found.entry)
    return ActResult((act,), sentence, f"counter {body.counter}")


def _stopped_lot(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.LOT, reading, "the card of a lot that was taken off")
    lot = context.queries.lot(code)
    if lot is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Lot card {code} is not in the system.", subject=code)
    if lot.status != LotStatus.PRESSED:
        raise Refused(
            FindingCode.NOT_TAKEN_OFF,
            f"Lot {code} is {lot.status}; RESUME is for a lot that was taken off its press.",
            subject=code,
            expected=LotStatus.PRESSED,
            found=lot.status,
        )
    if lot.decision != LotDecision.PENDING:
        raise Refused(
            FindingCode.LOT_DECIDED,
            f"Lot {code} is {lot.decision}: no more discs can be added to it. Plan another lot.",
            subject=code,
            expected=LotDecision.PENDING,
            found=lot.decision,
        )
    refuse_held(context.queries.hold_on(code), f"Lot {code}", code)
    return code


def _resume(values: Values, context: ScanContext) -> ActResult:
    lot = context.queries.lot(values["lot"])
    assert lot is not None
    first = lot.counter + 1
    body = PressResumed(lot.code, mounted_of(values, context), first, again=lot.segment == first)
    sentence = f"Lot {lot.code} is set up again from stroke {first}. Press a first disc and scan START."
    return ActResult((Act(body, values["reason"]),), sentence)


FORMS = (
    Form(
        "CORRECT",
        "press",
        (
            Slot("counter", "Key the counter as it should have been read, such as #412.", _right_counter),
            reason_slot(),
            second_person_slot("Someone from quality checks it and scans a badge.", "a second badge"),
        ),
        _correct,
        _last_range,
    ),
    Form(
        "RESUME",
        "press",
        (
            Slot("lot", "Scan the card of the lot that goes on.", _stopped_lot),
            *SET_UP_SLOTS,
            reason_slot('Type " and then why it was taken off.'),
        ),
        _resume,
        press_free,
    ),
)
"""CORRECT and RESUME."""
