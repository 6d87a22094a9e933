"""What a running press says: the counter, stacks, scrap, what is mounted, the end of a lot."""

from collections.abc import Iterable, Sequence

from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import Moved
from tracelink.station.common.outcome import Refused
from tracelink.station.common.station_facts import HoldNotice
from tracelink.station.sentences.common_sentences import hold_words

A_NEW_SPINDLE_CARD = "a new spindle card"
THE_PRESS_COUNTER = "the press counter"
HOW_MANY_SCRAPPED = "how many discs were scrapped"
WHAT_IS_MOUNTED_NEW = "the new stamper, compound lot or label lot"
KEY_THE_COUNTER = "Key the press counter, such as #412."
SCAN_A_NEW_SPINDLE_CARD = "Scan a new spindle card."
KEY_HOW_MANY_SCRAPPED = "Key how many were scrapped."
SCAN_WHAT_IS_MOUNTED_NEW = "Scan the new stamper, compound lot or label lot."


def card_in_use(code: str) -> Refused:
    """The card for a new stack stands on another one."""
    return Refused(
        FindingCode.CARD_IN_USE, f"Spindle card {code} is in use already. Take a new card.", subject=code
    )


def nothing_to_stack(lot: str, before: int, counter: int) -> Refused:
    """The counter says that no disc was pressed since the last stack."""
    return Refused(
        FindingCode.NOTHING_TO_STACK,
        f"No disc has been counted since the last stack of {lot}. Read the counter again.",
        subject=lot,
        expected=f"more than {before}",
        found=str(counter),
    )


def stacked(count: int, spindle: str) -> str:
    """Say how many discs are on a spindle now."""
    return f"{counted(count, 'disc')} on spindle {spindle}."


def for_the_lab(strokes: Sequence[int]) -> str:
    """Say which discs the lab wants next, to add to another sentence; empty if none."""
    if not strokes:
        return ""
    return f" For the lab: {'disc' if len(strokes) == 1 else 'discs'} {', '.join(map(str, strokes))}."


def counter_at(counter: int) -> str:
    """Say where the counter is."""
    return f"counter {counter}"


def nothing_to_throw(lot: str, counter: int, before: int) -> Refused:
    """The counter says that every disc has left the press."""
    return Refused(
        FindingCode.NOTHING_TO_THROW,
        f"All discs of {lot} up to {counter} have left the press already. Read the counter again.",
        subject=lot,
        expected=f"more than {before}",
        found=str(counter),
    )


def no_stack_yet(lot: str) -> Refused:
    """Discs are scrapped before any stack was taken."""
    return Refused(
        FindingCode.NO_SPINDLE,
        "No stack has been taken yet, and discs are scrapped from a stack. Scan STACK first.",
        subject=lot,
    )


def cannot_scrap(spindle: str, remaining: int, count: int) -> Refused:
    """More discs are to be scrapped than are on the spindle."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"Spindle {spindle} holds {counted(remaining, 'disc')}; {count} cannot be scrapped from it.",
        subject=spindle,
        expected=f"1 to {remaining}",
        found=str(count),
    )


def scrapped(quantity: int, spindle: str) -> str:
    """Say how many discs were scrapped."""
    return f"{counted(quantity, 'disc')} scrapped from spindle {spindle}."


def already_mounted(code: str) -> Refused:
    """What is to be mounted is on this press."""
    return Refused(FindingCode.ALREADY_MOUNTED, f"{code} is mounted here already.", subject=code)


def changed(stroke: int, lot: str, code: str) -> str:
    """Say from which stroke on something new is mounted."""
    return f"From stroke {stroke} on, lot {lot} runs with {code}."


def emptied(stroke: int, lot: str) -> str:
    """Say from which stroke on the hopper holds only what is filled in now."""
    return f"Hopper emptied: from stroke {stroke} on, lot {lot} holds only what is filled in now."


def finished(lot: str, counter: int) -> str:
    """Say how many discs a lot has."""
    return f"Lot {lot} is finished: {counted(counter, 'disc')} counted."


def left_at_press(left: int) -> str:
    """Say how many discs stay without a spindle, to add to another sentence."""
    return f" {counted(left, 'disc')} without a spindle, not accounted for."


def no_lot_here(press: str) -> Refused:
    """No lot is set up on this press."""
    return Refused(FindingCode.NO_LOT, "No lot is set up on this press. Scan SETUP first.", subject=press)


def not_started(lot: str) -> Refused:
    """The lot on this press does not run yet."""
    return Refused(FindingCode.NOT_STARTED, f"Lot {lot} is not started. Scan START first.", subject=lot)


def held_here(notice: HoldNotice) -> str:
    """Say that something of the running lot is on hold, to add to another sentence."""
    words = hold_words(notice, notice.subject)
    return f" But {notice.subject} is {words}. Stop the press; put the spindle aside."


def trial_scrapped(moves: Sequence[Moved]) -> str:
    """Say how many trial discs were scrapped, and of which strokes."""
    count = sum(move.quantity for move in moves)
    strokes = ", ".join(f"{move.first} to {move.last}" for move in moves)
    return f"{counted(count, 'trial disc')} scrapped, strokes {strokes}."


def an_action_card(words: Iterable[str]) -> str:
    """Say which action cards belong to a press."""
    return f"an action card ({', '.join(words)})"
