"""What the assembly stations say of the slots of placing machines and the reels in them."""

from collections.abc import Sequence

from tracelink.ledger.count_words import counted, grouped
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.assembly.queries_assembly import BillLine, BuildOrder, Reel, SlotTag
from tracelink.station.common.outcome import Refused

A_SLOT_TAG = "a slot tag"
SCAN_THE_SLOT = "Scan the tag of the slot."
SCAN_THE_REEL = "Scan the reel."
SCAN_THE_REEL_IN_IT = "Scan the reel that is in it."
SCAN_THE_NEW_REEL = "Scan the new reel."


def slot_elsewhere(slot: SlotTag) -> Refused:
    """A slot of another machine is scanned."""
    return Refused(
        FindingCode.WRONG_SLOT,
        f"Slot {slot.what} {slot.code} is at machine {slot.station}. Scan a slot of this machine.",
        subject=slot.code,
    )


def slot_not_used(slot: SlotTag, build: BuildOrder) -> Refused:
    """A slot that the bill of material does not use."""
    return Refused(
        FindingCode.WRONG_SLOT,
        f"Slot {slot.what} is empty for {build.part}, bill of material {build.version}. Scan the slot again.",
        subject=slot.code,
    )


def slot_full(slot: SlotTag, reel: str) -> Refused:
    """A reel is loaded into a slot that has one."""
    return Refused(
        FindingCode.SLOT_IN_USE,
        f"Reel {reel} is in slot {slot.what}. Scan SPLICE to join the new one to its tail, or UNLOAD.",
        subject=slot.code,
    )


def slot_empty(slot: SlotTag) -> Refused:
    """There is no reel in a slot."""
    return Refused(
        FindingCode.SLOT_EMPTY, f"No reel is booked in slot {slot.what}. Scan LOAD first.", subject=slot.code
    )


def wrong_part(slot: SlotTag, line: BillLine, reel: Reel) -> Refused:
    """The reel is of another part, or of another revision."""
    code = FindingCode.WRONG_PART if line.part != reel.part else FindingCode.WRONG_REVISION
    return Refused(
        code,
        f"Slot {slot.what} takes {line.part} revision {line.revision}; reel {reel.code} is {reel.part} revision "
        f"{reel.revision}. Put it back and take the right reel.",
        subject=reel.code,
        expected=f"{line.part} {line.revision}",
        found=f"{reel.part} {reel.revision}",
    )


def reel_elsewhere(reel: Reel) -> Refused:
    """A reel is scanned twice, or is in a slot of another machine."""
    return Refused(
        FindingCode.REEL_IN_USE,
        f"Reel {reel.code} is in slot {reel.slot} already. Take another reel, or UNLOAD it there.",
        subject=reel.code,
    )


def used_up(reel: Reel) -> Refused:
    """Nothing is left on a reel."""
    return Refused(
        FindingCode.REEL_USED_UP,
        f"Reel {reel.code} is used up: {counted(reel.holds, 'part')} were on it and left. Take a new one; if there are parts "
        "on it, count them with LEFT and tell quality.",
        subject=reel.code,
    )


def loaded(slot: SlotTag, reel: Reel) -> str:
    """Say that the right reel is in a slot."""
    return f"Slot {slot.what}: reel {reel.code}, {reel.part}, {counted(reel.left, 'part')}."


def spliced(slot: SlotTag, reel: Reel, before: Reel) -> str:
    """Say that a reel is joined to the tail of another."""
    return f"Slot {slot.what}: reel {reel.code} is joined to reel {before.code}, which has {counted(before.left, 'part')} by the last count."


def checked(slot: SlotTag, reel: str, done: int) -> str:
    """Say that the right reel is in a slot still."""
    return f"Slot {slot.what} has reel {reel}, as booked. Good up to piece {done}."


def wrong_reel(slot: SlotTag, booked: str, found: Reel, held: tuple[int, int, str] | None) -> str:
    """Say that a slot has another reel than was booked, and which pieces are held for it, by which hold."""
    told = (
        f"Slot {slot.what} is booked with reel {booked}; you scanned reel {found.code}, {found.part}. The machine stays "
        "stopped: take it out and LOAD the right one."
    )
    if held is None:
        return f"{told} Nothing was placed since the last good check."
    first, last, hold = held
    return f"{told} Pieces {first} to {last} since the last good check are held back (hold {hold}): put them aside."


def held_for_wrong_reel(slot: SlotTag, booked: str, found: Reel) -> str:
    """Give the reason of the hold on what a wrong reel may have placed."""
    return f"slot {slot.what} was booked with reel {booked} and had reel {found.code}"


def not_in_the_machine(reel: Reel) -> Refused:
    """Parts were thrown away of a reel that is in no slot here."""
    return Refused(
        FindingCode.SLOT_EMPTY,
        f"Reel {reel.code} is in no slot of this machine. Scan LOAD first.",
        subject=reel.code,
    )


def slot_not_loaded(line: BillLine) -> Refused:
    """A slot has no reel, and pieces were placed."""
    return Refused(
        FindingCode.SLOT_EMPTY,
        f"No reel is booked in slot {line.slot}, which takes {line.part}. LOAD what is in it.",
        subject=line.part,
    )


def reel_short(line: BillLine, wanted: int, left: int, done: int) -> Refused:
    """More parts were placed than the reels in a slot have."""
    return Refused(
        FindingCode.BEYOND_THE_REEL,
        f"{done} pieces take {counted(wanted, 'part')} {line.part} from slot {line.slot}; its reels have {grouped(left)} left. "
        "Read the counter again; if a reel was joined to the tail, scan SPLICE first.",
        subject=line.part,
        expected=f"up to {left}",
        found=str(wanted),
    )


def unloaded(slot: SlotTag, reels: Sequence[str]) -> str:
    """Say what is out of a slot."""
    return f"Slot {slot.what} is empty: {', '.join(reels)} taken out. Count what is left with LEFT."


def about_slot(slot: SlotTag, reels: Sequence[Reel]) -> str:
    """Say what is in a slot."""
    listed = ", then ".join(f"reel {reel.code} with {counted(reel.left, 'part')}" for reel in reels)
    return f"Slot {slot.what} at {slot.station}: {listed or 'empty'}."
