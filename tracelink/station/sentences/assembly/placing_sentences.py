"""What the assembly stations say of build orders, placing machines and their slots."""

from collections.abc import Sequence

from tracelink.ledger.count_words import counted, grouped
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.assembly.queries_assembly import (
    Bill,
    BillLine,
    BuildOrder,
    MachineRun,
    Reel,
)
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_process import ProcessStep

A_NEW_BUILD_CARD = "a new build order card"
A_BUILD_CARD = "a build order card"
A_SERIAL_LABEL = "a serial label"
THE_PANEL = "how many pieces are in a panel"
THE_COUNTER = "the counter of the machine"
HOW_MANY_DROPPED = "how many were thrown away"
SCAN_A_NEW_BUILD_CARD = "Scan a new build order card."
SCAN_THE_BUILD_CARD = "Scan the build order card."
TYPE_WHAT_IS_BUILT = 'Type " and then the part number of what is built.'
SCAN_THE_FIRST_SERIAL = "Scan the first serial label."
KEY_THE_PANEL = "Key how many pieces are in a panel, #1 if each goes alone."
SCAN_THE_REEL_IT_CAME_OFF = "Scan the reel they came off."
KEY_HOW_MANY_DROPPED = "Key how many the machine threw away, such as #2."
KEY_THE_COUNTER = "Key what the machine has done of this order, such as #40."


def build_known(code: str) -> Refused:
    """The card of a new build order is on another one."""
    return Refused(
        FindingCode.CARD_IN_USE,
        f"Build order {code} is in the system already. Take a new card.",
        subject=code,
    )


def no_bill(part: str, day: str) -> Refused:
    """Something is built that has no bill of material."""
    return Refused(
        FindingCode.NO_BILL,
        f"{part} has no bill of material that holds on {day}. Read the part number again, or ask for the bill.",
        subject=part,
        expected="a bill of material",
        found="none",
    )


def serials_in_use(other: str, first: int, last: int) -> Refused:
    """Serial numbers are given a second time."""
    return Refused(
        FindingCode.SERIAL_IN_USE,
        f"Serial numbers {first} to {last} are in build order {other} already, some of them. Take the labels that follow.",
        subject=other,
        expected="new serial numbers",
        found=f"{first} to {last}",
    )


def no_whole_panels(quantity: int, panel: int) -> Refused:
    """A build order does not come out in whole panels."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"{counted(quantity, 'piece')} are no whole panels of {panel}. Key how many pieces are in a panel.",
        subject=str(panel),
        expected=f"a divisor of {quantity}",
        found=str(panel),
    )


def build_begun(code: str, bill: Bill, quantity: int, panel: int) -> str:
    """Say that a build order is there."""
    panels = "" if panel == 1 else f" in panels of {panel}"
    return f"Build order {code}: {counted(quantity, 'piece')} of {bill.part}, {bill.what}{panels}, by bill of material {bill.version}."


def bill_changed(build: BuildOrder, now: Bill) -> Refused:
    """A build order goes on after its bill of material was changed."""
    return Refused(
        FindingCode.BILL_CHANGED,
        f"Build order {build.code} is by bill of material {build.version} of {build.part}; since {now.since} it is "
        f"{now.version}. Begin another order for what is left, with BUILD.",
        subject=build.code,
        expected=now.version,
        found=build.version,
    )


def machine_busy(run: MachineRun) -> Refused:
    """A machine is set up that works on another order."""
    return Refused(
        FindingCode.RUN_OPEN,
        f"This machine is set up for build order {run.build}. Scan ENDRUN first.",
        subject=run.build,
    )


def nothing_to_place(build: BuildOrder) -> Refused:
    """A machine is set up for what has nothing in its slots."""
    return Refused(
        FindingCode.NOT_IN_THE_BILL,
        f"Bill of material {build.version} of {build.part} has nothing for the slots of this machine. Look at the card.",
        subject=build.code,
    )


def no_run(station: str) -> Refused:
    """A machine that is not set up."""
    return Refused(
        FindingCode.NO_RUN, "This machine is not set up. Scan SETUP and a build order card.", subject=station
    )


def set_up(build: BuildOrder, lines: Sequence[BillLine], done: int) -> str:
    """Say what goes into which slot."""
    listed = "; ".join(f"slot {line.slot}: {line.part} revision {line.revision}" for line in lines)
    begun = f" {grouped(done)} of {counted(build.quantity, 'piece')} done already." if done else ""
    return f"Set up for build order {build.code}, {build.what}.{begun} Load {listed}."


def not_so_many_left(reel: Reel, quantity: int) -> Refused:
    """More parts than a reel has left."""
    return Refused(
        FindingCode.MORE_THAN_THERE_IS,
        f"Reel {reel.code} has {counted(reel.left, 'part')} left; you keyed {grouped(quantity)}. Count again, or scan the "
        "reel they came off.",
        subject=reel.code,
        expected=f"up to {reel.left}",
        found=str(quantity),
    )


def dropped(reel: Reel, quantity: int) -> str:
    """Say what was thrown away."""
    return f"{counted(quantity, 'part')} of reel {reel.code} thrown away, {counted(reel.left - quantity, 'part')} left."


def machine_stopped(run: MachineRun) -> Refused:
    """Pieces are counted while a wrong reel is not replaced."""
    return Refused(
        FindingCode.RUN_STOPPED,
        f"The machine stands with {run.done} pieces of build order {run.build}: a wrong reel was found. LOAD the right one first.",
        subject=run.build,
    )


def counter_back(run: MachineRun, done: int) -> Refused:
    """The counter of a machine is not beyond what it was."""
    return Refused(
        FindingCode.COUNTER_BACKWARDS,
        f"The machine had done {run.done} pieces; you keyed {done}. Read the counter again.",
        subject=run.build,
        expected=f"more than {run.done}",
        found=str(done),
    )


def counter_beyond(build: BuildOrder, done: int) -> Refused:
    """More pieces are done than the order has."""
    return Refused(
        FindingCode.COUNTER_TOO_HIGH,
        f"Build order {build.code} has {counted(build.quantity, 'piece')}; you keyed {grouped(done)}. Read the counter again.",
        subject=build.code,
        expected=f"up to {build.quantity}",
        found=str(done),
    )


def no_whole_panel(build: BuildOrder, done: int) -> Refused:
    """Pieces are counted in the middle of a panel."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"Build order {build.code} goes in panels of {build.panel}; {grouped(done)} pieces end within one. Count whole panels.",
        subject=build.code,
        expected=f"a multiple of {build.panel}",
        found=str(done),
    )


def placed(build: BuildOrder, first: int, last: int, shortest: tuple[str, int] | None) -> str:
    """Say which pieces are done, and which slot is the next to run out."""
    told = f"{_pieces(first, last)} of {build.quantity} of build order {build.code} {_are(first, last)} done."
    if shortest is None:
        return told
    slot, pieces = shortest
    return f"{told} Slot {slot} is enough for {counted(pieces, 'piece')} more."


def run_ended(run: MachineRun, build: BuildOrder, reels: Sequence[str]) -> str:
    """Say that a machine is done with an order."""
    out = f" Taken out: {', '.join(reels)}. Count what is left with LEFT." if reels else ""
    return f"The machine is done with build order {run.build}: {run.done} of {counted(build.quantity, 'piece')}.{out}"


def about_build(build: BuildOrder) -> str:
    """Say what the system knows of a build order."""
    return f"Build order {build.code}: {counted(build.quantity, 'piece')} of {build.part}, {build.what}, bill of material {build.version}."


def pieces_beyond(build: BuildOrder, first: int, last: int) -> Refused:
    """Pieces go into a process step that the order does not have."""
    return Refused(
        FindingCode.NO_SUCH_STROKE,
        f"Build order {build.code} has pieces 1 to {build.quantity}; you keyed {first} to {last}. Look at the serial labels.",
        subject=build.code,
        expected=f"1 to {build.quantity}",
        found=f"{first} to {last}",
    )


def pieces_went_in(step: ProcessStep, build: str, first: int | None, last: int | None) -> str:
    """Say which pieces of a build order are in a process step."""
    return f"{_pieces(first, last)} of build order {build} {_are(first, last)} in step {step.code}, {step.process}."


def _pieces(first: int | None, last: int | None) -> str:
    return f"Piece {first}" if first == last else f"Pieces {first} to {last}"


def _are(first: int | None, last: int | None) -> str:
    return "is" if first == last else "are"
