"""What a packing line says of units that wait for a re-check after a wrong read."""

from collections.abc import Sequence

from tracelink.identity.reading import Reading
from tracelink.ledger.count_words import counted, few
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.packing import HoldBackOpened
from tracelink.station.common.outcome import Finding, Refused
from tracelink.station.sentences.thing_names import named

THE_SLEEVE_OF_THE_UNIT = "the sleeve of the unit"
ITS_SLEEVE = "its sleeve"
ALL_RECHECKED = "Right. All units are re-checked: go on packing."


_SHOWN = 10
"""Numbers told to the person; the entry lists all."""


def held_back(units: int, reading: Reading) -> Refused:
    """Something is begun while units wait for their re-check."""
    wait, them = (
        ("1 unit waits for its re-check", "that unit")
        if units == 1
        else (f"{units} units wait for their re-check", f"each of the {units}")
    )
    return Refused(
        FindingCode.HELD_BACK,
        f"{wait}. Scan RECHECK, then {them}.",
        subject=named(reading),
        expected="RECHECK or TAKEOUT",
    )


def also_held_back(finding: Finding, body: HoldBackOpened) -> str:
    """Say what is wrong, what is held back by it and what to do: going on with the right piece is not offered."""
    noun = "number" if len(body.numbers) == 1 else "numbers"
    numbers = f" ({noun} {few(body.numbers, _SHOWN)})" if body.numbers else ""
    units, each = (
        ("unit", "that unit") if body.units == 1 else (f"{body.units} units", f"each of the {body.units}")
    )
    pieces = "" if finding.aside is None else f"{finding.aside.pieces} aside, and also "
    return (
        f"{finding.told} Put {pieces}the last {units}{numbers}{'' if pieces else ' aside'}. "
        f"Scan RECHECK, then {each}."
    )


def nothing_held_back() -> Refused:
    """RECHECK, and no unit waits for it."""
    return Refused(FindingCode.NOTHING_HELD_BACK, "No unit waits for a re-check here.", subject="RECHECK")


def piece_of_unit(called: str) -> str:
    """Say which piece of a unit is to be scanned."""
    return f"{called} of the unit"


def right_now(follows: str) -> str:
    """Say that a piece is right, and which one comes next."""
    return f"Right. Now {follows}."


def recheck_failed(reading: Reading, wants: str) -> Refused:
    """A piece of a unit that is re-checked is not the right one."""
    return Refused(
        FindingCode.RECHECK_FAILED,
        f"You scanned {named(reading)}. Scan {wants}, or TAKEOUT to scrap the unit: it still waits for "
        "its re-check.",
        subject=named(reading),
        expected=wants,
        found=named(reading),
    )


def right_left(left: int) -> str:
    """Say that a unit is right, and how many still wait."""
    return f"Right. {counted(left, 'unit')} to re-check."


def scan_of_one(left: int, first: str, spindle: str | None) -> str:
    """Ask for the first piece of a unit; `spindle` is where the disc in hand belongs, None if there is none."""
    back = f"Put the disc back on spindle {spindle}. " if spindle else ""
    return f"{back}{counted(left, 'unit')} to re-check. Scan {first} of one of them."


def step_name(what: str, called: str) -> str:
    """Return the name of one scan of a unit, which no other scan of it has."""
    return f"sleeve of {called}" if what == "sleeve" else called


def will_not_scan(called: str, *, again: bool) -> str:
    """Say what to do with a code that does not read; `again` if it was tried twice."""
    other = "scan MANUAL to type the code with a second person, or TAKEOUT" if again else "scan NOREAD again"
    return f"{called[:1].upper()}{called[1:]} will not scan: turn it and try again. If it still will not, {other}."


def one_of_the_sleeves(numbers: Sequence[str]) -> str:
    """Say which sleeves belong to the units that wait."""
    if not numbers:
        return "the sleeve"
    which = "number" if len(numbers) == 1 else "one of the numbers"
    return f"the sleeve with {which} {', '.join(numbers)}"
