"""What a packing line says of what it opens and closes: clearance, sleeve batch, spindle, carton."""

from collections.abc import Sequence

from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.time_words import moment
from tracelink.station.common.outcome import Refused
from tracelink.station.sentences.line_sentences import LINE_NOT_CLEARED, set_or_unit
from tracelink.station.sentences.thing_names import product_name


def clear_the_line(areas: Sequence[str]) -> str:
    """Say what has to be empty, and that two people look."""
    return f"Check these are empty: {', '.join(areas)}. Then a second person checks and scans a badge."


def line_cleared(name: str, second: str) -> str:
    """Say who cleared the line."""
    return f"Line is cleared by {name} and {second}. Scan the sleeve batch."


def not_cleared(subject: str) -> Refused:
    """Something is opened at a line that is not cleared."""
    return Refused(
        FindingCode.NOT_CLEARED,
        LINE_NOT_CLEARED,
        subject=subject,
        expected="a cleared line",
    )


def superseded(code: str) -> Refused:
    """Sleeves of an older print."""
    return Refused(
        FindingCode.SUPERSEDED_SLEEVE,
        f"Sleeve batch {code} is an older print. Put it aside and fetch the new one.",
        subject=code,
    )


def batch_without_numbers(title: str, code: str) -> Refused:
    """The numbers of a batch for a numbered edition are not known."""
    return Refused(
        FindingCode.NO_NUMBERS,
        f'"{title}" is numbered, but sleeve batch {code} came in without its numbers. Tell quality.',
        subject=code,
        expected="a number range",
    )


def other_product(code: str, title: str, expected: str, found: str) -> Refused:
    """Sleeves of another product: the line is to be cleared first."""
    return Refused(
        FindingCode.NOT_CLEARED,
        f'Sleeve batch {code} is for "{title}", another product. Clear the line first: scan CLEAR.',
        subject=code,
        expected=expected,
        found=found,
    )


def set_in_hand(code: str) -> Refused:
    """Other sleeves are opened while a set is not finished."""
    return Refused(
        FindingCode.DISC_IN_HAND,
        "Finish the set in hand, or scan STOP to take it apart, before opening other sleeves.",
        subject=code,
    )


def wrong_spindle(code: str, part_name: str, ours: str, expected: str, part_gtin: str) -> Refused:
    """A spindle of another product."""
    return Refused(
        FindingCode.WRONG_SPINDLE,
        f'Spindle {code} holds {part_name}; this line packs "{ours}". Take it away and scan STOP or the '
        "right spindle.",
        subject=code,
        expected=expected,
        found=part_gtin,
    )


def spindle_open(code: str, name: str, remaining: int) -> str:
    """Say what is on the spindle that was opened."""
    return f"Spindle {code}: {name}, {counted(remaining, 'disc')}."


def spindle_elsewhere(line: str) -> str:
    """Say that another line packs from the same spindle, to add to another sentence."""
    return f" {line} packs from this spindle too: go and compare the cards of both stacks before you go on."


def lot_rejected(spindle: str, lot: str) -> Refused:
    """A spindle with discs of a lot that quality rejected."""
    return Refused(
        FindingCode.LOT_REJECTED,
        f"Spindle {spindle} holds discs of lot {lot}, which is rejected. Put it aside.",
        subject=spindle,
    )


def next_spindle(spindle: str) -> str:
    """Ask for the stack that comes after one of which the records show no disc."""
    return f"Scan the card of the next stack: the system shows spindle {spindle} as empty."


def spindle_empty(spindle: str) -> Refused:
    """The spindle has no disc left by the records."""
    return Refused(
        FindingCode.SPINDLE_EMPTY,
        f"The system shows spindle {spindle} as empty. Take another stack.",
        subject=spindle,
    )


def clock_behind(spindle: str, stacked: str, now: str, minutes: int) -> Refused:
    """The clock of the line is behind the time at which the spindle was stacked."""
    return Refused(
        FindingCode.NOT_RESTED,
        f"The system shows spindle {spindle} as stacked at {stacked}, and the clock here says {now}, "
        "which is earlier, so nobody knows how long the discs rested. Have the clocks of press and line "
        "set, then scan again.",
        subject=spindle,
        expected=f"{minutes} minutes after {stacked}",
        found=now,
    )


def rest_unproven(stacked: str) -> str:
    """What is added where discs rested long enough only by the clock of their press."""
    return (
        f" By the clock of the press it was stacked at {moment(stacked)}, which was recorded only later: see on the stack that it has "
        "rested, and tell quality if it has not."
    )


def not_rested(spindle: str, rested: int, minutes: int) -> Refused:
    """The discs of a spindle are to rest longer."""
    return Refused(
        FindingCode.NOT_RESTED,
        f"Spindle {spindle} was stacked {counted(rested, 'minute')} ago; discs rest {minutes} minutes "
        "before sleeving. Wait.",
        subject=spindle,
        expected=f"{minutes} minutes",
        found=f"{rested} minutes",
    )


def label_not_issued(code: str) -> Refused:
    """A carton label that was never printed here."""
    return Refused(
        FindingCode.UNKNOWN_CODE,
        f"Label {code} was never issued here. Take a printed carton label.",
        subject=code,
    )


def not_a_carton_label(issued: str, code: str) -> Refused:
    """A label that was issued for something else."""
    return Refused(
        FindingCode.WRONG_THING,
        f"You scanned {issued} label {code}. Scan a carton label.",
        subject=code,
        found=issued,
    )


def label_in_use(code: str) -> Refused:
    """A carton label stands on another carton."""
    return Refused(
        FindingCode.LABEL_IN_USE, f"Carton label {code} is in use already. Take a new label.", subject=code
    )


def no_carton_open() -> Refused:
    """CLOSE without a carton."""
    return Refused(FindingCode.NO_CARTON, "No carton is open.", subject="CLOSE")


def set_not_finished(discs: int) -> Refused:
    """CLOSE while a unit is not finished."""
    return Refused(
        FindingCode.DISC_IN_HAND,
        f"The {set_or_unit(discs)} in hand is not finished. Finish it, or scan STOP to take it apart.",
        subject="CLOSE",
    )


def and_then(done: str, waits: str) -> str:
    """Say what was done, and what the line waits for now."""
    return f"{done} {waits}"


def sleeves_open(title: str, catalogue_number: str) -> str:
    """Say which sleeves are open."""
    return f"Sleeves of {product_name(title, catalogue_number)} are open."


def carton_open(code: str, closed_before: str | None) -> str:
    """Say which carton is open, and which full one that closed."""
    return f"{closed_before} Carton {code} is open." if closed_before else f"Carton {code} is open."


def closed(carton: str, units: int) -> str:
    """Say that a carton is closed."""
    return f"Carton {carton} is closed with {counted(units, 'unit')}."


def closed_scan_new(carton: str, units: int, size: int) -> str:
    """Say that a carton is closed, if it is a part carton, and what to scan."""
    if units < size:
        return f"Carton {carton} is closed as a part carton: {units} of {counted(size, 'unit')}. Scan a new carton label."
    return f"{closed(carton, units)} Scan a new carton label."


def closed_empty(carton: str) -> str:
    """Say what to do with the label of a carton that was closed empty."""
    return f"Carton {carton} is closed empty: throw its label away. Scan a new carton label."
