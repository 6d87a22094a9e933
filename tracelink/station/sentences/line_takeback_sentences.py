"""What a packing line says when a unit is taken out, or the last act or match is taken back."""

from collections.abc import Sequence

from tracelink.ledger.closed_sets import CartonStatus
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused

REOPEN_A_CARTON = "A closed carton is opened again with REOPEN."
ONLY_THE_LAST_MATCH = "Only the last match since you signed on can be taken back."
CLOSED_BY_MISTAKE = "closed by mistake, taken back by UNDO"


def no_finished_unit(carton: str) -> Refused:
    """TAKEOUT while no finished unit is in the carton."""
    return Refused(FindingCode.CARTON_EMPTY, f"No finished unit is in carton {carton}.", subject=carton)


def content_unknown(carton: str) -> Refused:
    """The system does not know what is in the carton."""
    return Refused(
        FindingCode.NOT_IN_RECORDS,
        f"The system does not show which discs and sleeves are in carton {carton}. Tell quality.",
        subject=carton,
    )


def lot_slot(piece: int) -> str:
    """Return the name of the slot for the lot of a disc."""
    return f"lot {piece}"


def not_of_lot(code: str, lots: list[str]) -> Refused:
    """No disc in the carton is of this lot."""
    return Refused(
        FindingCode.WRONG_LOT, f"No disc of lot {code} is in the carton: {' or '.join(lots)}.", subject=code
    )


def label_free(code: str) -> str:
    """Say that a carton label may be used again."""
    return f"Carton label {code} is free again."


def reject_taken_back(spindle: str) -> str:
    """Say where the disc that was scrapped belongs."""
    return f"The reject is taken back: put the disc back on spindle {spindle}."


def cannot_take_back_close(code: str, status: str) -> Refused:
    """A carton that was closed last was changed since."""
    return Refused(
        FindingCode.CARTON_NOT_CLOSED,
        f"Carton {code} is {status} now: its CLOSE cannot be taken back.",
        subject=code,
        expected=CartonStatus.CLOSED,
        found=status,
    )


def take_out_of_sleeve(called: str) -> str:
    """Say that a match is taken back of a piece without a spindle."""
    return f"The last match is taken back: take {called} out of the sleeve."


def put_back_on_spindle(called: str, spindle: str) -> str:
    """Say that a match is taken back of a disc."""
    return f"The last match is taken back: put {called} back on spindle {spindle}."


def scan_the_lot_of(piece: int, lots: Sequence[str], *, discs: int) -> str:
    """Ask for the lot of a disc."""
    disc = f"disc {piece}" if discs > 1 else "the disc"
    return f"Scan the lot card of {disc}: {' or '.join(lots)}."


def reason_or_spindle(asks: str, *, discs: int) -> str:
    """Ask why a unit is taken out, and say how a good disc is kept; `asks` is how the reason is asked for."""
    disc = "A good disc" if discs > 1 else "If the disc is good, it"
    return f"{asks} {disc} goes back: scan the card of its spindle before the reason."


def not_from_spindle(spindle: str, carton: str) -> Refused:
    """A good disc is to go back onto a spindle that it did not come from."""
    return Refused(
        FindingCode.WRONG_SPINDLE,
        f"The system does not show that a disc of this unit came from spindle {spindle} into carton {carton}. "
        "Scan the card of its own spindle, or give the reason to scrap it.",
        subject=spindle,
        expected="the spindle it came from",
        found=spindle,
    )


def put_back_already(spindle: str) -> Refused:
    """A second disc of one unit is to go back onto one spindle."""
    return Refused(
        FindingCode.WRONG_SPINDLE,
        f"One disc of this unit goes back onto spindle {spindle} already. Give the reason, or scan another "
        "spindle.",
        subject=spindle,
    )


def unit_taken_out(left: int | None, back: Sequence[str], *, discs: int) -> str:
    """Say where the pieces of a unit go, and how many units wait for a re-check.

    Args:
        left: units that wait; None if the unit was not among them.
        back: spindles onto which discs go back.
        discs: to one unit.
    """
    sentence = "One unit is taken out of the carton and scrapped."
    if back:
        disc = "its disc" if discs == 1 else "a disc"
        places = " and ".join(f"{disc} back on spindle {spindle}" for spindle in back)
        sentence = f"Put {places}. The rest of the unit is scrapped."
    if left is None:
        return sentence
    return (
        f"{sentence} {counted(left, 'unit')} to re-check."
        if left
        else f"{sentence} All units are re-checked."
    )


def nothing_to_undo(more: str | None) -> Refused:
    """UNDO, and nothing of this session can be taken back."""
    sentence = "There is nothing to take back."
    return Refused(FindingCode.NOTHING_TO_UNDO, f"{sentence} {more}" if more else sentence, subject="UNDO")
