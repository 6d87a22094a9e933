"""What quality is told when a lot is released or rejected, or a hold is placed or lifted."""

from collections.abc import Sequence

from tracelink.ledger.closed_sets import LotStatus
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_balance import OpenInvestigation

WHAT_CAN_BE_HELD = "a lot, tool, spindle, carton, pallet, batch or numbered sleeve"
WHAT_TO_HOLD = "what to hold"
BADGE_OF_SECOND = "Scan the badge of the second person."
SCAN_WHAT_TO_HOLD = "Scan what to hold."
SCAN_THE_HOLD = "Scan the hold, or what is on hold."


def rejected_before(lot: str) -> Refused:
    """RELEASE of a lot that was rejected."""
    return Refused(
        FindingCode.LOT_REJECTED,
        f"Lot {lot} was rejected. Only two people can release it: scan CANCEL, then LIFT its hold and OVERRULE.",
        subject=lot,
    )


def bad_samples(bad: int, judged: int, lot: str) -> Refused:
    """RELEASE of a lot with bad samples."""
    return Refused(
        FindingCode.BAD_SAMPLES,
        f"{bad} of {counted(judged, 'judged sample')} of lot {lot} {'is' if bad == 1 else 'are'} bad. "
        "Only two people can release it: scan CANCEL, then OVERRULE.",
        subject=lot,
        expected="no bad sample",
        found=str(bad),
    )


def wait_until_pressed(lot: str, status: str) -> Refused:
    """RELEASE of a lot that is still being made."""
    return Refused(
        FindingCode.NOT_PRESSED,
        f"Lot {lot} is {status}: wait until it is pressed and judged.",
        subject=lot,
        expected=LotStatus.PRESSED,
        found=status,
    )


def released_by_two(lot: str) -> str:
    """Say that a lot is released against a rejection or bad samples."""
    return f"Lot {lot} is released by two people."


def rejected(name: str, lot: str, hold: str) -> str:
    """Say who rejected a lot, and by which hold it is held wherever it is."""
    return f"{name} rejected lot {lot}: all of it is on hold, wherever it is (hold {hold})."


def cannot_hold(code: str) -> Refused:
    """HOLD of something that the system does not know."""
    return Refused(
        FindingCode.UNKNOWN_CODE, f"{code} is not in the system; it cannot be put on hold.", subject=code
    )


def on_hold_now(subject: str, hold: str) -> str:
    """Say by which hold a thing is held."""
    return f"{subject} is on hold (hold {hold})."


def hold_unknown(code: str) -> Refused:
    """LIFT of a hold that is none, or not open any more."""
    return Refused(
        FindingCode.UNKNOWN_CODE, f"Hold {code} is not in the system, or has been lifted.", subject=code
    )


def nothing_holds(subject: str) -> Refused:
    """LIFT of a thing that no open hold names."""
    return Refused(FindingCode.UNKNOWN_CODE, f"No open hold names {subject}.", subject=subject)


def several_holds(holds: Sequence[str], subject: str) -> Refused:
    """LIFT of a thing that several holds name."""
    return Refused(
        FindingCode.SEVERAL_HOLDS,
        f"{len(holds)} open holds name {subject}: {', '.join(holds)}. Scan the one to lift.",
        subject=subject,
        expected="one hold",
        found=", ".join(holds),
    )


def lifted_by_two(hold: str) -> str:
    """Say that a hold is lifted."""
    return f"Hold {hold} is lifted by two people."


def released(name: str, lot: str, judged: int, *, again: bool) -> str:
    """Say who released a lot, and on how many samples; `again` if it was released before."""
    on = f"{counted(judged, 'sample')} judged, none bad" if judged else "no disc was judged"
    return (
        f"Lot {lot} was released before; {name} released it again: {on}."
        if again
        else f"{name} released lot {lot}: {on}."
    )


def under_investigation(lot: str, found: OpenInvestigation) -> Refused:
    """RELEASE of a lot whose numbers, or whose labels' numbers, do not add up."""
    about = "" if found.subject == lot else f" of {found.subject}"
    off = "not known" if found.difference is None else f"{found.difference:+d}"
    return Refused(
        FindingCode.UNDER_INVESTIGATION,
        f"Lot {lot} is not released while investigation {found.number}{about} is open (difference "
        f"{off}: {found.reason}). Close it first: runout investigate close.",
        subject=lot,
        expected="no open investigation",
        found=str(found.number),
    )
