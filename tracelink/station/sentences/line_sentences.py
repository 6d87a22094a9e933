"""What a packing line says of itself: what waits, what is not open yet, who works there, what STOP does."""

from collections.abc import Sequence

from tracelink.identity.reading import Reading
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_line import KitPiece
from tracelink.station.sentences.thing_names import named

WHAT_THE_ACT_ASKS_FOR = "what the action asks for"
COMPARE_ONE_UNIT = "Compare one packed unit with the job. Then a second person scans a badge."
WHAT_THE_LINE_TAKES = "a disc, a sleeve, or what the line opens (sleeve batch, spindle, carton)"
NO_JOB = "No job is open."

SCAN_CLEAR = "Scan CLEAR, then a second person's badge."
SCAN_THE_SLEEVE_BATCH = "Scan the sleeve batch."
SCAN_A_CARTON_LABEL = "Scan a new carton label."
PUT_PIECES_ASIDE = "Put the wrong piece aside and scan STOP, or scan the right piece. The line is stopped after a wrong read."
"""What a line waits for."""

LINE_NOT_CLEARED = f"The line is not cleared. {SCAN_CLEAR}"
NO_SLEEVES = f"No sleeve batch is open. {SCAN_THE_SLEEVE_BATCH}"
NO_CARTON = f"No carton is open. {SCAN_A_CARTON_LABEL}"
"""What is not open yet, and what to scan for it."""


def disc_waits_before(then: str) -> Refused:
    """A disc in hand waits for its sleeve while something else is begun."""
    return Refused(
        FindingCode.DISC_IN_HAND,
        f"A disc is waiting for its sleeve. Scan the sleeve, or STOP, before {then}.",
        subject=then,
        expected="a sleeve",
    )


def checked(name: str, second: str, units: int) -> str:
    """Say who looked at the line, and at how many units."""
    return f"Checked by {name} and {second}: {counted(units, 'unit')} since the last check."


def handed_over(name: str, other: str, told: str) -> str:
    """Say who works at the line from now on."""
    return f"{name} handed over to {other}: {told}"


def who_takes_over(told: str) -> str:
    """Ask for the badge of whoever takes over."""
    return f"{told} Scan the badge of whoever takes over."


def line_stopped(reading: Reading) -> Refused:
    """Something is begun while a wrong read stops the line."""
    return Refused(
        FindingCode.LINE_STOPPED,
        "The line is stopped after a wrong read. Put the wrong piece aside and scan STOP before "
        f"{named(reading)}.",
        subject=named(reading),
        expected="STOP or the right piece",
    )


def disc_waits_before_signing_on(name: str, code: str) -> Refused:
    """Somebody signs on while a disc waits for its sleeve."""
    return Refused(
        FindingCode.DISC_IN_HAND,
        f"A disc is waiting for its sleeve. Scan the sleeve, or STOP, before {name} signs on.",
        subject=code,
        expected="a sleeve",
    )


def signed_on_with_disc(signed_on: str, spindle: str) -> str:
    """Say where the disc belongs that was in hand when the one before was signed off."""
    return f"{signed_on} Put the disc in hand back on spindle {spindle}."


def not_ready(missing: str) -> Refused:
    """Something is not opened yet that packing needs."""
    return Refused(FindingCode.NOT_READY, missing, subject="line")


def no_sleeves(subject: str) -> Refused:
    """An act about the job while no sleeve batch is open."""
    return Refused(FindingCode.NOT_READY, NO_SLEEVES, subject=subject)


def no_sleeves_first(subject: str) -> Refused:
    """Something is opened before the sleeve batch, which says what is packed."""
    return Refused(
        FindingCode.NOT_READY, "No sleeve batch is open. Scan the sleeve batch first.", subject=subject
    )


def carton_open(carton: str, subject: str | None = None) -> Refused:
    """A carton is open that would have to be closed; `subject` is what was scanned, if not its own label."""
    return Refused(
        FindingCode.CARTON_OPEN,
        f"Carton {carton} is still open. Scan CLOSE first.",
        subject=subject or carton,
    )


def how_full(units: int, carton_size: int) -> str:
    """Say how full a carton is."""
    return f"{units} of {carton_size} in carton"


def units_in_carton(units: int, carton_size: int, carton: str) -> str:
    """Say how full the open carton is, and which one it is."""
    return f"{units} of {carton_size} in carton {carton}"


def line_now(
    title: str, carton: str | None, unchecked: int, *, unfinished: bool, held_back: int | None
) -> str:
    """Say how a line stands, for whoever takes it over.

    Args:
        title: of the product that is packed.
        carton: how full the open carton is, None without one.
        unchecked: units packed since the last good check.
        unfinished: a unit has some of its pieces and not all.
        held_back: units that wait for a re-check, None if none are held back.
    """
    parts = [f'"{title}"']
    if carton is not None:
        parts.append(carton)
    parts.append(f"{counted(unchecked, 'unit')} since the last good check")
    if unfinished:
        parts.append("one unit not finished")
    if held_back is not None:
        parts.append(f"{counted(held_back, 'unit')} waiting for a re-check")
    return f"{', '.join(parts)}."


def will_not_scan(waiting: str, *, again: bool) -> str:
    """Say what to do with a code that does not read; `again` if it was tried twice."""
    other = "scan MANUAL to type the code with a second person, or REJECT" if again else "scan REJECT"
    return f"The {waiting} will not scan: turn it and try again. If it still will not, {other}."


def stopped(spindle: str | None, more: str) -> str:
    """Say what to do with what is in hand; `more` is what the line still waits for, empty for nothing."""
    told = (
        f"Put the disc back on spindle {spindle}. Put aside what else you hold."
        if spindle
        else "Put aside what you hold."
    )
    return f"Stopped. {told}{more}"


def wait_for_recheck(units: int) -> str:
    """Say how many units are held back, to add to another sentence."""
    return f" {_waiting(units)} Scan RECHECK."


def still_needs(called: str, *, discs: int) -> str:
    """Say what the unit in hand needs next, to add to another sentence."""
    return f" The {set_or_unit(discs)} in hand needs {called}; STOP takes it apart."


def taken_apart(spindles: Sequence[str], items: Sequence[KitPiece], *, discs: int) -> str:
    """Say where the pieces of an unfinished unit belong.

    Args:
        spindles: of its discs, in the order of the kit.
        items: the kit items in it.
        discs: to one unit.
    """
    places = [f"disc {piece} back on spindle {spindle}" for piece, spindle in enumerate(spindles, 1)]
    places += [f"{piece.called} back" for piece in items]
    return f"The unfinished {set_or_unit(discs)} is taken apart. Put {' and '.join(places)}."


def part_carton(units: int, size: int) -> str:
    """Say that the open carton is not full, before the reason is asked for."""
    return f"The carton is not full: {how_full(units, size)}. "


def set_or_unit(discs: int) -> str:
    """Return how the floor calls what goes into one sleeve."""
    return "set" if discs > 1 else "unit"


def product_packed(title: str, catalogue_number: str) -> str:
    """Say what a line packs."""
    return f'{catalogue_number} "{title}"'


def discs_left(spindles: Sequence[tuple[int, str, int]], *, discs: int) -> str:
    """Say how many discs are left on the open spindles: disc of the product, card, discs."""
    return ", ".join(
        f"{f'disc {piece}: ' if discs > 1 else ''}{left} left on {code}" for piece, code, left in spindles
    )


def since_check(units: int, due: int) -> str:
    """Say how many units were packed since a second person looked; `due` is after how many it is asked for, or 0."""
    so_far = f"{units} of {counted(due, 'unit')}" if due else counted(units, "unit")
    return f"{so_far} since the last check"


def last_read(name: str) -> str:
    """Say what was read last."""
    return f"Last read: {name}"


def last_read_unclear(raw: str) -> str:
    """Say what came last that is no code of the plant."""
    return f"Last read, and not understood: {raw}"


def check_is_due(units: int) -> str:
    """Ask for the look of a second person, to add to another sentence."""
    return f"{counted(units, 'unit')} since the last check: scan CHECK."


def scan_the_spindle(piece: int, *, discs: int) -> str:
    """Ask for the spindle of a disc that comes next."""
    return f"Scan the spindle card of disc {piece}." if discs > 1 else "Scan the spindle card."


def scan_the_piece(called: str) -> str:
    """Ask for the piece that the unit in hand needs next."""
    return f"Scan {called}."


def sleeve_of(name: str) -> str:
    """Ask for the sleeve of the disc in hand."""
    return f"Scan the sleeve of {name}."


def scan_recheck(units: int) -> str:
    """Ask for the re-check of what is held back."""
    return f"Scan RECHECK. {_waiting(units)}"


def _waiting(units: int) -> str:
    return f"{counted(units, 'unit')} {'waits' if units == 1 else 'wait'} for a re-check."


def scan_of_unit(called: str, left: int) -> str:
    """Ask for a piece of a unit that is re-checked."""
    return f"Scan {called}. {counted(left, 'unit')} to re-check."
