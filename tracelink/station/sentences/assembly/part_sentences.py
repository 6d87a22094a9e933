"""What the assembly stations say of part lots, reels and trays."""

from collections.abc import Sequence

from tracelink.ledger.count_words import counted, grouped, signed
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.assembly.queries_assembly import PartKind, PartLot, Reel
from tracelink.station.common.outcome import Refused

A_PART_LOT_CARD = "a part lot card"
A_NEW_PART_LOT_CARD = "a new part lot card"
A_REEL_LABEL = "a reel label"
A_NEW_REEL_LABEL = "the label of a reel or tray"
A_PART_NUMBER = "a part number"
A_REVISION = "a revision"
A_SUPPLIERS_LOT = "the supplier's lot"
A_DATE_CODE = "the date code"
HOW_MANY = "how many"
HOW_MANY_TESTED = "how many were tested"
HOW_MANY_FAILED = "how many failed"
HOW_MANY_LEFT = "how many are left"
SCAN_A_NEW_PART_LOT_CARD = "Scan a new part lot card."
TYPE_THE_PART_NUMBER = 'Type " and then the part number.'
TYPE_THE_REVISION = 'Type " and then the revision.'
TYPE_THE_SUPPLIERS_LOT = "Type \" and then the supplier's lot."
TYPE_THE_DATE_CODE = 'Type " and then the date code.'
KEY_HOW_MANY = "Key how many, such as #500."
SCAN_THE_PART_LOT_CARD = "Scan the part lot card."
KEY_HOW_MANY_TESTED = "Key how many were tested, such as #50."
KEY_HOW_MANY_FAILED = "Key how many of them failed, #0 for none."
SCAN_THE_REEL_LABEL = "Scan the reel label."
SCAN_THE_LABEL_TO_FILL = "Scan the label of the reel or tray."
KEY_HOW_MANY_LEFT = "Count what is left on it and key how many, #0 for none."


def no_such_part(number: str) -> Refused:
    """A part number is typed that the plant does not have."""
    return Refused(
        FindingCode.UNKNOWN_CODE,
        f"Part {number} is not in the system. Read the part number again.",
        subject=number,
    )


def part_lot_known(code: str) -> Refused:
    """The card of a new part lot is on another one."""
    return Refused(
        FindingCode.CARD_IN_USE, f"Part lot {code} is in the system already. Take a new card.", subject=code
    )


def received(code: str, kind: PartKind, quantity: int) -> str:
    """Say that a part lot came in."""
    wanted = "all of them" if kind.sample is None else counted(min(kind.sample, quantity), "piece")
    return (
        f"Part lot {code}: {counted(quantity, 'piece')} of {kind.number}, {kind.what}, in quarantine. "
        f"To test: {wanted}."
    )


def tested_before(lot: PartLot) -> Refused:
    """A part lot is tested a second time."""
    return Refused(
        FindingCode.ALREADY_JUDGED,
        f"Part lot {lot.code} is {lot.status} already. Put it where such lots are kept.",
        subject=lot.code,
    )


def too_few_tested(lot: PartLot, wanted: int, tested: int) -> Refused:
    """Fewer pieces were tested than the plant wants, or more than there are."""
    told = f"{wanted}" if wanted == lot.quantity else f"{wanted} to {lot.quantity}"
    return Refused(
        FindingCode.WRONG_COUNT,
        f"Of part lot {lot.code} {told} of {grouped(lot.quantity)} pieces are to be tested; you keyed {grouped(tested)}. "
        "Test what is missing, or key it again.",
        subject=lot.code,
        expected=told,
        found=str(tested),
    )


def more_failed_than_tested(lot: PartLot, tested: int, failed: int) -> Refused:
    """More pieces failed than were tested."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"{grouped(tested)} pieces of part lot {lot.code} were tested; {grouped(failed)} cannot have failed. Key it again.",
        subject=lot.code,
        expected=f"0 to {tested}",
        found=str(failed),
    )


def lot_accepted(lot: PartLot, tested: int, failed: int) -> str:
    """Say that a part lot may be used."""
    scrapped = f", {counted(failed, 'piece')} scrapped" if failed else ""
    return f"Part lot {lot.code} is accepted: {grouped(tested)} tested, {grouped(failed)} failed{scrapped}."


def lot_rejected(lot: PartLot, tested: int, failed: int) -> str:
    """Say that a part lot may not be used."""
    return (
        f"Part lot {lot.code} is rejected: {grouped(failed)} of {grouped(tested)} tested failed. Put it aside for "
        "quality."
    )


def lot_not_accepted(lot: PartLot) -> Refused:
    """Parts are taken of a lot that is not accepted."""
    return Refused(
        FindingCode.NOT_ACCEPTED,
        f"Part lot {lot.code} is {lot.status}. Only an accepted lot is taped or filled: scan TESTLOT first, or put it aside.",
        subject=lot.code,
        expected="accepted",
        found=lot.status,
    )


def another_part(reel: Reel, lot: PartLot) -> Refused:
    """Parts of another kind or revision are put on a reel."""
    code = FindingCode.WRONG_PART if lot.part != reel.part else FindingCode.WRONG_REVISION
    return Refused(
        code,
        f"{_reel(reel)} has {reel.part} revision {reel.revision}; part lot {lot.code} is {lot.part} revision "
        f"{lot.revision}. Take another reel, or the right lot.",
        subject=reel.code,
        expected=f"{reel.part} {reel.revision}",
        found=f"{lot.part} {lot.revision}",
    )


def reel_begun(reel: Reel) -> Refused:
    """Parts are added to a reel that parts left already."""
    return Refused(
        FindingCode.REEL_IN_USE,
        f"{counted(reel.used + reel.dropping, 'part')} left {_reel(reel).lower()} already, or it is in a slot: nothing is added "
        "any more. Take a new label.",
        subject=reel.code,
    )


def other_order(reel: Reel) -> Refused:
    """A reel is filled like a tray, or a tray is taped like a reel."""
    word = "TAPE" if reel.in_order else "FILL"
    return Refused(
        FindingCode.CARD_IN_USE,
        f"Label {reel.code} is on a {'reel' if reel.in_order else 'tray'}: scan CANCEL and {word}, or take a new label.",
        subject=reel.code,
    )


def too_few_left(lot: PartLot, quantity: int) -> Refused:
    """More parts are put on a reel than the lot has."""
    return Refused(
        FindingCode.MORE_THAN_THERE_IS,
        f"Part lot {lot.code} has {counted(lot.left, 'piece')} left; you keyed {grouped(quantity)}. Count again.",
        subject=lot.code,
        expected=f"1 to {lot.left}",
        found=str(quantity),
    )


def filled(code: str, lot: PartLot, first: int, last: int, *, in_order: bool) -> str:
    """Say what is on a reel or in a tray now."""
    if in_order:
        return f"Reel {code}: positions {first} to {last} are {lot.part} of part lot {lot.code}."
    return f"Tray {code}: {counted(last - first + 1, 'piece')} of {lot.part} of part lot {lot.code}, {grouped(last)} in all."


def in_a_slot(reel: Reel) -> Refused:
    """A reel is counted, or its parts are taken by hand, while a machine takes from it."""
    return Refused(
        FindingCode.REEL_IN_USE,
        f"{_reel(reel)} is in slot {reel.slot}. Scan UNLOAD there first.",
        subject=reel.code,
    )


def left_counted(reel: Reel, count: int) -> str:
    """Say what a count of what is left came to."""
    told = f"{_reel(reel)}: {counted(count, 'part')} left, the system shows {grouped(reel.left)}"
    if count == reel.left:
        return f"{told}."
    return f"{told}: difference {signed(count - reel.left)}. Count again and tell quality."


def about_part_lot(lot: PartLot) -> str:
    """Say what the system knows of a part lot."""
    return f"Part lot {lot.code}, {lot.part} revision {lot.revision}: {lot.status}, {counted(lot.left, 'piece')} on no reel."


def about_reel(reel: Reel) -> str:
    """Say what the system knows of a reel."""
    where = "" if reel.slot is None else f", in slot {reel.slot}"
    return (
        f"{_reel(reel)}, {reel.part} revision {reel.revision} of {_listed(reel.lots)}: {grouped(reel.left)} of "
        f"{counted(reel.holds, 'part')} left{where}."
    )


def _listed(lots: Sequence[str]) -> str:
    return f"part lot{'s' if len(lots) > 1 else ''} {', '.join(lots)}"


def _reel(reel: Reel) -> str:
    return f"{'Reel' if reel.in_order else 'Tray'} {reel.code}"


def label_new(code: str) -> str:
    """Say that nothing has this label yet."""
    return f"Label {code} is new."
