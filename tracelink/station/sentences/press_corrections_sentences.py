"""What a press says when a counter is corrected or a lot that was taken off goes on."""

from tracelink.ledger.closed_sets import LotDecision, LotStatus
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.press_corrections import CounterCorrected
from tracelink.station.common.outcome import Refused

THE_COUNTER_AS_IT_SHOULD_BE = "the counter as it should have been read"
CARD_OF_A_STOPPED_LOT = "the card of a lot that was taken off"
KEY_THE_COUNTER_AS_IT_SHOULD_BE = "Key the counter as it should have been read, such as #412."
QUALITY_CHECKS_IT = "Someone from quality checks it and scans a badge."
A_SECOND_BADGE = "a second badge"
SCAN_THE_CARD_OF_THE_LOT = "Scan the card of the lot that goes on."
TYPE_WHY_TAKEN_OFF = 'Type " and then why it was taken off.'


def nothing_to_correct(lot: str, counter: int) -> Refused:
    """The last reading did not put discs anywhere."""
    return Refused(
        FindingCode.NOTHING_TO_CORRECT,
        f"The counter of {lot} is at {counter}, and no stack or trial ends there, so this reading cannot "
        "be corrected here. Tell quality.",
        subject=lot,
    )


def rests_on_reading(counter: int, lot: str, rests: str) -> Refused:
    """Something rests on the strokes of the last reading."""
    return Refused(
        FindingCode.RESTS_ON_IT,
        f"The reading {counter} of {lot} can no longer be corrected: {rests}. Tell quality.",
        subject=lot,
        found=rests,
    )


def cannot_replace(lot: str, before: int, first: int, counter: int, least: int) -> Refused:
    """A counter cannot be what was read."""
    return Refused(
        FindingCode.WRONG_COUNTER,
        f"The counter of {lot} is at {before}, and the discs of that reading begin at {first}. {counter} "
        "cannot replace it.",
        subject=lot,
        expected=f"{least} or more, and not {before}",
        found=str(counter),
    )


def sample_is_later(sample: str, stroke: int, lot: str, counter: int) -> Refused:
    """A sample was taken beyond the counter that was keyed."""
    return Refused(
        FindingCode.RESTS_ON_IT,
        f"Sample {sample} is stroke {stroke} of {lot}; so the counter cannot have been {counter}. Read it "
        "again.",
        subject=sample,
        expected=f"{stroke} or more",
        found=str(counter),
    )


def not_taken_off(code: str, status: str) -> Refused:
    """A lot that was never taken off is to go on."""
    return Refused(
        FindingCode.NOT_TAKEN_OFF,
        f"Lot {code} is {status}; RESUME is for a lot that was taken off its press.",
        subject=code,
        expected=LotStatus.PRESSED,
        found=status,
    )


def lot_decided(code: str, decision: str) -> Refused:
    """Quality decided on a lot that is to go on."""
    return Refused(
        FindingCode.LOT_DECIDED,
        f"Lot {code} is {decision}: no more discs can be added to it. Plan another lot.",
        subject=code,
        expected=LotDecision.PENDING,
        found=decision,
    )


def resumed(lot: str, first: int) -> str:
    """Say that a lot that was taken off is set up again."""
    return f"Lot {lot} is set up again from stroke {first}. Press a first disc and scan START."


def corrected(body: CounterCorrected) -> str:
    """Say what a counter is now, and how many discs that makes more or fewer."""
    off = body.counter - body.before
    discs = f"{counted(abs(off), 'disc')} {'more' if off > 0 else 'fewer'}"
    return f"The counter of {body.lot} is {body.counter}, not {body.before}: {discs} in {body.place}."
