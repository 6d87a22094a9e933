"""What a press says while a lot is set up: stampers, labels, the first disc."""

from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.station_facts import Material, PartFact, Tool

A_COMPOUND_LOT = "a compound lot"
SCAN_THE_COMPOUND_LOT = "Scan the compound lot."


def press_busy(lot: str, press: str) -> Refused:
    """Another lot is on this press."""
    return Refused(
        FindingCode.PRESS_BUSY,
        f"Lot {lot} is still on this press. Scan STOP first.",
        subject=press,
        found=lot,
    )


def not_a_stamper(code: str, what: str) -> Refused:
    """A tool of another kind is to be mounted."""
    return Refused(
        FindingCode.NOT_A_STAMPER, f"{code} is a {what}. Scan a stamper.", subject=code, found=what
    )


def stamper_elsewhere(code: str, press: str) -> Refused:
    """A stamper is on another press by the system."""
    return Refused(
        FindingCode.STAMPER_ELSEWHERE,
        f"Stamper {code} is on press {press}. Check the tag.",
        subject=code,
        found=press,
    )


def the_stamper(side: str) -> str:
    """Say which stamper belongs into a slot."""
    return f"the side {side} stamper"


def scan_the_stamper(side: str) -> str:
    """Ask for the stamper of a side."""
    return f"Scan the side {side} stamper."


def the_label_lot(side: str) -> str:
    """Say which label lot belongs into a slot."""
    return f"the side {side} label lot"


def scan_the_label_lot(side: str) -> str:
    """Ask for the label lot of a side."""
    return f"Scan the side {side} label lot."


def set_up(lot: str, name: str, stamper_a: str, stamper_b: str) -> str:
    """Say what a lot is set up with."""
    return (
        f"Lot {lot}, {name}, is set up with {stamper_a} and {stamper_b}. Press a first disc and scan START."
    )


def the_matrix_number(side: str) -> str:
    """Say what belongs into a slot."""
    return f"the matrix number of side {side}"


def type_the_matrix_number(side: str) -> str:
    """Ask for what is read on the first disc."""
    return f'Type " and then the matrix number on side {side} of the first disc.'


def running(lot: str) -> str:
    """Say that a lot runs."""
    return f"Lot {lot} is running."


def lot_used(lot: str, status: str, *, goes_on: bool) -> Refused:
    """A lot that is not planned any more is to be set up; `goes_on` if RESUME could continue it."""
    again = " To continue this one, scan CANCEL, then RESUME." if goes_on else ""
    return Refused(FindingCode.LOT_USED, f"Lot {lot} is {status}. Set up a planned lot.{again}", subject=lot)


def pair_swapped(tool: Tool, side: str, part: PartFact) -> Refused:
    """A stamper of the other side is to be mounted."""
    wanted = part.matrix(side)
    return Refused(
        FindingCode.PAIR_SWAPPED,
        f"Stamper {tool.code} is side {tool.side} of {part.name} ({tool.matrix}); side {side} is "
        f"{wanted}. The pair is swapped: scan the side {side} stamper.",
        subject=tool.code,
        expected=wanted,
        found=tool.matrix,
    )


def wrong_stamper(tool: Tool, side: str, part: PartFact) -> Refused:
    """A stamper of another disc is to be mounted."""
    wanted = part.matrix(side)
    return Refused(
        FindingCode.WRONG_STAMPER,
        f"Stamper {tool.code} is cut {tool.matrix}; side {side} of {part.name} is {wanted}. They do not "
        f"belong together: put {tool.code} back and fetch the right stamper.",
        subject=tool.code,
        expected=wanted,
        found=tool.matrix,
    )


def wrong_label(label: Material, side: str, part: PartFact) -> Refused:
    """Labels of another side or disc are to be used."""
    found = f"side {label.side} of disc {label.piece} of {label.gtin}"
    return Refused(
        FindingCode.WRONG_LABEL,
        f"Labels {label.code} are for {found}; side {side} of {part.name} ({part.gtin}) is being set up. "
        "Fetch the right labels.",
        subject=label.code,
        expected=f"side {side} of {part.name}",
        found=found,
    )


def wrong_first_disc(read: str, side: str, part: PartFact, *, alike: bool) -> Refused:
    """The first disc has another matrix number; `alike` if they differ only in characters that look alike."""
    hint = " They differ only in characters that look alike: read it again." if alike else ""
    wanted = part.matrix(side)
    return Refused(
        FindingCode.WRONG_MATRIX,
        f"The first disc reads {read} on side {side}; {part.name} is {wanted}.{hint} Do not run.",
        subject=read,
        expected=wanted,
        found=read,
    )
